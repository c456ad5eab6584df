package takewright.segment.onset;

import java.util.Arrays;
import takewright.dsp.Fft;
import takewright.dsp.Fir;
import takewright.dsp.Windows;
import takewright.segment.room.RoomSpread;

/**
 * Short filters made for one sound in one room, through which its onset is looked for. They are of
 * linear phase, so that they smear it evenly to both sides.
 */
final class OnsetFilters {
  /** Length of sound that the filter is made for, in seconds from the anchor on. */
  private static final double SOUND_S = 0.15;

  /** Filters longer than this go by transforms. */
  private static final int LONG_TAPS = 256;

  /** Samples filtered in one go: few enough to stay in the first cache. */
  private static final int BLOCK = 512;

  /** Mean square of a Hann window. */
  private static final double ENERGY = 0.375;

  private final float[] audio;
  private final int quiet;
  private final int anchor;
  private final int sampleRate;
  private final RoomSpread room;
  private double highest;

  /**
   * @param audio samples around the onset
   * @param quiet samples at the start that are room tone for certain
   * @param anchor a sample at which the sound is there for certain
   * @param sampleRate frames per second
   * @param room how far the room moves by itself
   */
  OnsetFilters(float[] audio, int quiet, int anchor, int sampleRate, RoomSpread room) {
    this.audio = audio;
    this.quiet = quiet;
    this.anchor = anchor;
    this.sampleRate = sampleRate;
    this.room = room;
  }

  /**
   * The samples through a filter that lets pass what stands clear of the room.
   *
   * @param halfS half length of the filter, in seconds
   */
  float[] matched(double halfS) {
    double[] taps = matching(halfS);
    highest = highest(taps);
    return convolve(audio, taps);
  }

  /** Mean square that the room reaches by itself once in ten minutes, through the last filter. */
  double highest() {
    return highest;
  }

  private double highest(double[] taps) {
    Fft fft = Fft.of(Math.max(512, Integer.highestOneBit(taps.length) * 2));
    float[] response = new float[fft.size()];
    for (int k = 0; k < taps.length; k++) {
      response[k] = (float) taps[k];
    }
    fft.forward(response);
    float[] power = new float[fft.size() / 2 + 1];
    fft.power(response, power);
    double bin = (double) sampleRate / fft.size();
    double sum = 0;
    for (int k = 1; k < power.length - 1; k++) {
      sum += power[k] * room.ever(k * bin) * bin;
    }
    return sum;
  }

  /**
   * The first samples through a filter after which all of the room is alike.
   *
   * @param halfS half length of the filter, in seconds
   * @param count how many of them
   */
  float[] whitened(double halfS, int count) {
    double[] taps = whitening(halfS);
    int read = Math.min(audio.length, count + taps.length);
    return Arrays.copyOf(convolve(Arrays.copyOf(audio, read), taps), count);
  }

  /** A short filter of linear phase that lets pass where the sound is stronger than the room. */
  private double[] matching(double halfS) {
    int half = (int) (halfS * sampleRate);
    int length = Integer.highestOneBit((int) (SOUND_S * sampleRate));
    length = Math.min(length, Integer.highestOneBit(quiet));
    Fft fft = Fft.of(length);
    int reach = Math.max(1, length / (4 * half));
    float[] sound = spectrum(audio, fft, Math.min(anchor, audio.length - length), reach);
    float[] tone = spectrum(audio, fft, quiet - length, reach);
    double toBin = 0.5 * ENERGY * length * length / sampleRate;
    float[] response = new float[length];
    for (int k = 0; k < length / 2; k++) {
      double more = Math.max(0, sound[k] - tone[k]);
      // The matched filter's magnitude: root of the signal over the noise. Where the room moves, it
      // may be as loud as that while the sound sets in.
      double noise = Math.max(tone[k], toBin * room.soon((double) k * sampleRate / length));
      response[2 * k] = (float) (Math.sqrt(more) / (noise + 1e-20));
    }
    return taps(fft, response, half);
  }

  /** A short filter of linear phase after which all of the room is alike. */
  private double[] whitening(double halfS) {
    int half = (int) (halfS * sampleRate);
    int length = Integer.highestOneBit(Math.min((int) (SOUND_S * sampleRate), quiet));
    Fft fft = Fft.of(length);
    float[] tone = spectrum(audio, fft, quiet - length, Math.max(1, length / (4 * half)));
    float[] response = new float[length];
    for (int k = 1; k < length / 2; k++) {
      response[2 * k] = (float) (1 / Math.sqrt(tone[k] + 1e-20));
    }
    return taps(fft, response, half);
  }

  private static double[] taps(Fft fft, float[] response, int half) {
    int length = fft.size();
    fft.inverse(response);
    double[] taps = new double[2 * half + 1];
    float[] shape = Windows.hann(2 * half + 2);
    for (int i = -half; i <= half; i++) {
      taps[i + half] = response[(i + length) % length] * (double) shape[i + half + 1];
    }
    double most = 0;
    for (double tap : taps) {
      most = Math.max(most, Math.abs(tap));
    }
    for (int i = 0; i < taps.length; i++) {
      taps[i] = most > 0 ? taps[i] / most : (i == half ? 1 : 0);
    }
    return taps;
  }

  /** Power by bin, smoothed over the bins that so short a filter cannot tell apart. */
  private static float[] spectrum(float[] audio, Fft fft, int from, int reach) {
    int length = fft.size();
    float[] work = new float[length];
    float[] shape = Windows.hann(length);
    for (int i = 0; i < length; i++) {
      work[i] = audio[from + i] * shape[i];
    }
    fft.forward(work);
    float[] power = new float[length / 2 + 1];
    fft.power(work, power);
    float[] smooth = new float[length / 2 + 1];
    for (int k = 0; k < smooth.length; k++) {
      int low = Math.max(0, k - reach);
      int high = Math.min(smooth.length - 1, k + reach);
      float sum = 0;
      for (int j = low; j <= high; j++) {
        sum += power[j];
      }
      smooth[k] = sum / (high - low + 1);
    }
    return smooth;
  }

  /** The samples filtered; nothing lies beyond their ends. */
  private static float[] convolve(float[] x, double[] taps) {
    int half = taps.length / 2;
    if (taps.length > LONG_TAPS) {
      return convolveByTransforms(x, taps);
    }
    // The filter runs on whole fours of taps; those added are 0.
    float[][] phase = new float[1][(taps.length + 3) / 4 * 4];
    for (int k = 0; k < taps.length; k++) {
      phase[0][k] = (float) taps[k];
    }
    float[] padded = new float[half + x.length + phase[0].length];
    System.arraycopy(x, 0, padded, half, x.length);
    float[] out = new float[x.length];
    float[][] block = new float[1][BLOCK];
    Fir fir = new Fir(phase, BLOCK);
    for (int done = 0; done < x.length; done += BLOCK) {
      int n = Math.min(BLOCK, x.length - done);
      fir.apply(padded, done, block, n);
      System.arraycopy(block[0], 0, out, done, n);
    }
    return out;
  }

  /** The same by overlap-save, which costs less for long filters. */
  private static float[] convolveByTransforms(float[] x, double[] taps) {
    int half = taps.length / 2;
    Fft fft = Fft.of(Integer.highestOneBit(4 * taps.length) * 2);
    float[] response = new float[fft.size()];
    for (int k = 0; k < taps.length; k++) {
      response[k] = (float) taps[taps.length - 1 - k];
    }
    fft.forward(response);
    float[] block = new float[fft.size()];
    float[] out = new float[x.length];
    int hop = fft.size() - taps.length + 1;
    for (int done = 0; done < x.length; done += hop) {
      // The first taps.length - 1 samples of a block are spoilt by its end.
      for (int i = 0; i < block.length; i++) {
        int from = done + i - half;
        block[i] = from < 0 || from >= x.length ? 0 : x[from];
      }
      fft.forward(block);
      Fft.multiply(response, block);
      fft.inverse(block);
      System.arraycopy(block, taps.length - 1, out, done, Math.min(hop, x.length - done));
    }
    return out;
  }
}
