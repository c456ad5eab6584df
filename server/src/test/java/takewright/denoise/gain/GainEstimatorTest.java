package takewright.denoise.gain;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.Arrays;
import java.util.Random;
import org.junit.jupiter.api.Test;
import takewright.denoise.Noise;
import takewright.denoise.band.BinSums;
import takewright.denoise.band.Overlap;
import takewright.denoise.band.SpreadFactors;
import takewright.denoise.band.ThirdOctaves;
import takewright.dsp.Fft;
import takewright.dsp.Windows;

class GainEstimatorTest {
  private static final int BINS = 513;
  private static final float FLOOR = 0.1f;

  private static GainEstimator estimator() {
    ThirdOctaves bands = new ThirdOctaves(BINS);
    return new GainEstimator(BINS, FLOOR, SpreadFactors.none(bands.count()), bands, 1);
  }

  /**
   * A signal that stands xi times over the noise wants the gain xi / (1 + xi) (N. Wiener; as in P.
   * Loizou, Speech Enhancement, 2007, ch. 6: the form is common knowledge, quoted from memory).
   */
  @Test
  void aSteadySignalGetsTheWienerGain() {
    for (float xi : new float[] {100, 1e4f}) {
      for (float gain : steady(xi)) {
        assertEquals(xi / (1 + xi), gain, 0.02);
        assertTrue(gain <= 1);
      }
    }
  }

  /** Wiener's gain would take 0.4 dB from a signal ten times as strong as the noise. */
  @Test
  void whatStandsWellAboveTheNoiseKeepsItsPower() {
    for (float xi : new float[] {8, 10, 20}) {
      for (float gain : steady(xi)) {
        double loss = 10 * Math.log10(xi / (gain * gain * (1 + xi)));
        assertEquals(0, loss, 0.05, "signal to noise " + xi);
      }
    }
  }

  /** The gains of frames that all bins stand so much over the noise in. */
  private static float[] steady(float xi) {
    GainEstimator estimator = estimator();
    float[] ratios = new float[BINS];
    float[] gains = new float[BINS];
    Arrays.fill(ratios, 1 + xi);
    // A loud bin beside them, for all of it to be a note.
    ratios[BINS - 20] = 1e6f;
    for (int f = 0; f < 40; f++) {
      estimator.next(ratios, gains);
    }
    return Arrays.copyOf(gains, BINS / 2);
  }

  @Test
  void noiseAloneStaysAtTheFloorToTheLastBin() {
    Random random = new Random(1);
    GainEstimator estimator = estimator();
    float[] ratios = new float[BINS];
    float[] gains = new float[BINS];
    int above = 0;
    for (int f = 0; f < 1000; f++) {
      for (int k = 0; k < BINS; k++) {
        ratios[k] = (float) -Math.log(1 - random.nextDouble());
      }
      estimator.next(ratios, gains);
      for (float gain : gains) {
        above += gain > FLOOR ? 1 : 0;
      }
    }
    assertEquals(0, above);
  }

  @Test
  void aGainBelongsToTheFrameLatencyBefore() {
    GainEstimator estimator = estimator();
    float[] loud = new float[BINS];
    float[] silence = new float[BINS];
    float[] gains = new float[BINS];
    Arrays.fill(loud, 1e6f);
    for (int f = 0; f < 40; f++) {
      estimator.next(f == 20 ? loud : silence, gains);
      assertEquals(f - GainEstimator.LATENCY == 20 ? 1 : FLOOR, gains[100], 0.01, "frame " + f);
    }
  }

  /**
   * A wheel or a dish right after a note, while the long frames still hold it: too faint for a
   * note, and heard in the frames of its tail.
   */
  @Test
  void whatComesUpAfterANoteIsNoTail() {
    assertEquals(FLOOR, gain(2, 1, 1, 12), 0.001);
    assertEquals(FLOOR, gain(2, 4, 2, 12), 0.001);
    assertEquals(FLOOR, gain(3, 1, 1, 12, 3), 0.001, "while it falls");
    assertTrue(gain(2, 12, 12, 12) > 0.5, "a tail that rings on");
    assertTrue(gain(2, 40, 20, 12) > 0.5, "a tail that falls");
    assertTrue(gain(2, 12, 6, 20) > 0.5, "a tail that beats");
  }

  /** A click that stands above all that noise does, for one frame and for two. */
  @Test
  void oneFrameAloneIsNoNote() {
    float quiet = 0;
    assertEquals(FLOOR, gainAfter(quiet, 0, 60), 0.001);
    assertTrue(gainAfter(quiet, 0, 60, 60) > 0.5);
  }

  @Test
  void whatSwellsUpToTheNextNoteIsItsBeginning() {
    float note = 1e4f;
    assertEquals(FLOOR, gain(2, 1, 1, 12, 1, 1, note, note, note), 0.001);
    assertTrue(gain(2, 1, 1, 12, 14, 16, note, note, note) > 0.5, "a swell");
    assertTrue(gain(2, 1, 1, 12, note, note, note) > 0.5, "the frame before a note");
  }

  /**
   * The mean gain of 40 bins in one of some frames after a note.
   *
   * @param frame which of the frames
   * @param after power over noise power in those bins, by frame
   */
  private static double gain(int frame, float... after) {
    return gainAfter(1e4f, frame, after);
  }

  /** The same after frames of another power than a note's; 0 for noise alone. */
  private static double gainAfter(float note, int frame, float... after) {
    Random random = new Random(1);
    GainEstimator estimator = estimator();
    float[] ratios = new float[BINS];
    float[] gains = new float[BINS];
    int first = 30;
    int end = 36;
    for (int f = 0; f <= end + frame + GainEstimator.LATENCY; f++) {
      boolean isNote = note > 0 && f >= first && f < end;
      float there = isNote ? note : f >= end && f < end + after.length ? after[f - end] : 1;
      for (int k = 0; k < BINS; k++) {
        boolean isHigh = k >= 152 && k < 192;
        float power = isHigh ? there : isNote ? note : 1;
        // What stands out swings less than noise does.
        double swing = power > 1 ? 1 : -Math.log(1 - random.nextDouble());
        ratios[k] = (float) (power * swing);
      }
      estimator.next(ratios, gains);
    }
    double sum = 0;
    for (int k = 152; k < 192; k++) {
      sum += gains[k];
    }
    return sum / 40;
  }

  /** The variance that is worked out is the variance that smoothed noise has. */
  @Test
  void varianceOfSmoothedNoiseIsAsWorkedOut() {
    int size = 256;
    int hop = 64;
    int frames = 4000;
    float[] window = Windows.hann(size);
    float[] noise = Noise.white(size + frames * hop, 0, 2);
    float[][] power = new float[frames][size / 2 + 1];
    float[] frame = new float[size];
    for (int f = 0; f < frames; f++) {
      for (int i = 0; i < size; i++) {
        frame[i] = noise[f * hop + i] * window[i];
      }
      Fft.of(size).forward(frame);
      Fft.of(size).power(frame, power[f]);
    }
    for (int[] shape : new int[][] {{1, 1}, {5, 3}, {13, 1}, {1, 17}}) {
      double mean = 0;
      double square = 0;
      int n = 0;
      for (int f = 0; f + shape[0] <= frames; f++) {
        for (int k = 10; k + shape[1] <= 118; k++) {
          double sum = 0;
          for (int a = 0; a < shape[0]; a++) {
            for (int b = 0; b < shape[1]; b++) {
              sum += power[f + a][k + b];
            }
          }
          mean += sum;
          square += sum * sum;
          n++;
        }
      }
      double measured = square / n / Math.pow(mean / n, 2) - 1;
      double expected = Overlap.variance(window, hop, shape[0], shape[1]);
      assertEquals(expected, measured, 0.06 * expected, Arrays.toString(shape));
    }
  }

  @Test
  void sumsOverBinsAreMirroredAtTheEnds() {
    Random random = new Random(3);
    float[] x = new float[40];
    for (int i = 0; i < x.length; i++) {
      x[i] = random.nextInt(100);
    }
    BinSums sums = new BinSums(x.length, 8);
    float[] box = new float[x.length];
    for (int reach : new int[] {1, 2, 4, 8}) {
      sums.box(x, reach, box);
      for (int k = 0; k < x.length; k++) {
        float sum = 0;
        for (int j = k - reach; j <= k + reach; j++) {
          int at = j < 0 ? -1 - j : j >= x.length ? 2 * x.length - 1 - j : j;
          sum += x[at];
        }
        assertEquals(sum, box[k]);
      }
    }
  }
}
