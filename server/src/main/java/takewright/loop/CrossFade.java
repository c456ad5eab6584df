package takewright.loop;

import java.util.Arrays;
import takewright.audio.Clip;
import takewright.dsp.Fir;
import takewright.dsp.KaiserSinc;

/**
 * Writes a loop's cross-fades into a sample, so that it is seamless both ways: held, the end of the
 * loop has gone over into what lies before its start when it jumps back there; played through, the
 * sound goes on behind the loop as it would have behind the start, and goes back into the
 * recording.
 *
 * <p>The gains keep the power even, by how alike the two sounds are (Fink, Holters and Zoelzer,
 * "Signal-matched power-complementary cross-fading and dry-wet mixing", DAFx 2016). That differs
 * over the spectrum: partials of both ends are in step, bow and breath noise never is. So each of a
 * few bands has gains of its own.
 *
 * <p>Then slow swings of level and brightness, which the loop would bring back each time round, are
 * evened out within it, and what lies behind it goes on at the level that it leaves.
 */
public final class CrossFade {
  /** Edges of the bands in hertz: partials mostly lie below the second, noise above the third. */
  private static final double[] EDGES_HZ = {1500, 3000, 6000};

  /** Length of the filters that part the bands, in seconds either way: 1 kHz of transition. */
  private static final double HALF_FILTER_S = 0.0015;

  /** Between the bands, which add up to the sound in any case. */
  private static final double ATTENUATION_DB = 55;

  private CrossFade() {}

  /**
   * The sample with its loop faded; a new clip.
   *
   * <p>Where fewer frames than the fade follow the loop, the way back is as much shorter.
   */
  public static Clip apply(Clip sample, Loop loop) {
    float[][] faded = new float[sample.channels()][];
    float[][] recorded = new float[sample.channels()][];
    Bands bands = new Bands(sample.sampleRate());
    for (int c = 0; c < faded.length; c++) {
      recorded[c] = sample.channel(c);
      faded[c] = recorded[c].clone();
      apply(faded[c], loop, bands);
    }
    Evening.apply(faded, loop, sample.sampleRate());
    ReleaseGain.apply(faded, recorded, loop, sample.sampleRate());
    return Clip.of(sample.sampleRate(), faded);
  }

  private static void apply(float[] x, Loop loop, Bands bands) {
    int fade = loop.fade();
    int back = Math.max(0, Math.min(fade, x.length - loop.end() - 1));
    int count = fade + back;
    double[] share = share(fade, back);
    float[][] played = bands.split(x, loop.end() + 1 - fade, count);
    float[][] wanted = bands.split(x, loop.start() - fade, count);
    float[] sum = new float[count];
    for (int b = 0; b < played.length; b++) {
      double alike = Math.max(0, likeness(played[b], 0, wanted[b], 0, count));
      for (int i = 0; i < count; i++) {
        double in = share[i];
        double out = 1 - in;
        double size = size(in, out, alike);
        sum[i] += (float) ((out * played[b][i] + in * wanted[b][i]) / size);
      }
    }
    System.arraycopy(sum, 0, x, loop.end() + 1 - fade, count);
  }

  /**
   * The share of what lies around the start: rises to 1 up to the end of the loop and falls to 0
   * behind it, each as a raised cosine.
   */
  static double[] share(int fade, int back) {
    double[] share = new double[fade + back];
    for (int i = 0; i < share.length; i++) {
      share[i] = share(i + 0.5, fade, back);
    }
    return share;
  }

  /** The same at one moment, in frames from where it begins to rise. */
  static double share(double frame, int fade, int back) {
    return frame < fade
        ? 0.5 - 0.5 * Math.cos(Math.PI * frame / fade)
        : 0.5 + 0.5 * Math.cos(Math.PI * (frame - fade) / back);
  }

  /** Amplitude of a mix of two sounds of amplitude 1, of which shares are taken. */
  static double size(double in, double out, double alike) {
    return Math.sqrt(in * in + out * out + 2 * alike * in * out);
  }

  /** Correlation of two stretches, -1 to 1; 0 for silence. */
  static double likeness(float[] a, int atA, float[] b, int atB, int count) {
    double ab = 0;
    double aa = 0;
    double bb = 0;
    for (int i = 0; i < count; i++) {
      ab += a[atA + i] * b[atB + i];
      aa += a[atA + i] * a[atA + i];
      bb += b[atB + i] * b[atB + i];
    }
    return aa > 0 && bb > 0 ? ab / Math.sqrt(aa * bb) : 0;
  }

  /** Parts sound into bands that add up to it again. */
  private static final class Bands {
    private final float[][] lowPasses;
    private final int half;

    Bands(int sampleRate) {
      // A multiple of 2, so that the taps, with one of nothing, are a multiple of 4.
      half = 2 * (int) Math.ceil(HALF_FILTER_S * sampleRate / 2) + 1;
      int edges = 0;
      while (edges < EDGES_HZ.length && EDGES_HZ[edges] < 0.4 * sampleRate) {
        edges++;
      }
      lowPasses = new float[edges][];
      for (int e = 0; e < edges; e++) {
        lowPasses[e] = lowPass(EDGES_HZ[e] / sampleRate, half);
      }
    }

    private static float[] lowPass(double cyclesPerFrame, int half) {
      KaiserSinc sinc = new KaiserSinc(cyclesPerFrame, half + 1.0, ATTENUATION_DB);
      float[] taps = new float[2 * half + 2];
      double sum = 0;
      for (int i = -half; i <= half; i++) {
        taps[i + half] = (float) sinc.at(i);
        sum += taps[i + half];
      }
      for (int i = 0; i < taps.length; i++) {
        taps[i] /= (float) sum;
      }
      return taps;
    }

    /** The bands of {@code count} frames from {@code from} on, lowest first. */
    float[][] split(float[] x, int from, int count) {
      float[] around = new float[count + 2 * half + 2];
      int first = Math.max(0, half - from);
      int last = Math.min(around.length, x.length - from + half);
      System.arraycopy(x, from - half + first, around, first, last - first);
      float[][] bands = new float[lowPasses.length + 1][count];
      bands[lowPasses.length] = Arrays.copyOfRange(around, half, half + count);
      new Fir(lowPasses, count).apply(around, 0, bands, count);
      for (int b = lowPasses.length; b > 0; b--) {
        for (int i = 0; i < count; i++) {
          bands[b][i] -= bands[b - 1][i];
        }
      }
      return bands;
    }
  }
}
