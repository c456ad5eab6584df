package takewright.loop;

import java.util.Arrays;
import takewright.audio.Clip;

/**
 * Fades the end of a loop over into what lies before its start, so that the jump back goes on where
 * the fade has led. The gains fit how alike the two are, so that the power stays even (Fink,
 * Holters and Zoelzer, "Signal-matched power-complementary cross-fading and dry-wet mixing", DAFx
 * 2016).
 */
public final class CrossFade {
  private CrossFade() {}

  /** The sample with its loop faded; a new clip. */
  public static Clip apply(Clip sample, Loop loop) {
    float[][] faded = new float[sample.channels()][];
    for (int c = 0; c < faded.length; c++) {
      faded[c] = sample.channel(c).clone();
      apply(faded[c], loop);
    }
    return Clip.of(sample.sampleRate(), faded);
  }

  /** Fades one channel in place. */
  static void apply(float[] x, Loop loop) {
    float[] end = end(x, loop, loop.fade(), in(loop.fade()));
    System.arraycopy(end, 0, x, loop.end() + 1 - end.length, end.length);
  }

  /** The share of what fades in, by sample of a fade: a raised cosine. */
  static double[] in(int fade) {
    double[] in = new double[fade];
    for (int i = 0; i < fade; i++) {
      in[i] = 0.5 - 0.5 * Math.cos(Math.PI * (i + 0.5) / fade);
    }
    return in;
  }

  /**
   * The last {@code count} samples of a loop as they are once it is faded, of one channel.
   *
   * @param fadeIn as {@link #in} gives it for the loop's fade
   */
  static float[] end(float[] x, Loop loop, int count, double[] fadeIn) {
    int n = loop.fade();
    int from = loop.start() - n;
    int to = loop.end() + 1 - n;
    int first = loop.end() + 1 - count;
    float[] end = Arrays.copyOfRange(x, first, first + count);
    double alike = Math.max(0, likeness(x, from, x, to, n));
    for (int i = Math.max(0, first - to); i < n; i++) {
      double in = fadeIn[i];
      double out = 1 - in;
      double size = Math.sqrt(in * in + out * out + 2 * alike * in * out);
      end[to + i - first] = (float) ((out * x[to + i] + in * x[from + i]) / size);
    }
    return end;
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
}
