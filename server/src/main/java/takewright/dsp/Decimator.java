package takewright.dsp;

import java.util.Arrays;

/**
 * Audio at a whole fraction of its rate, for what listens to low frequencies alone: a low-pass with
 * linear phase, worked out only at the samples that are kept (R. E. Crochiere and L. R. Rabiner,
 * "Multirate digital signal processing", 1983).
 */
final class Decimator {
  /** What would fold onto the pass band is this far down, in dB: partials stand no higher. */
  private static final double ATTENUATION = 70;

  /** Samples worked out in one go, so that they stay in the processor's cache. */
  private static final int BLOCK = 1024;

  private final int factor;
  private final int half;

  /** Each filters one in {@code factor} samples. */
  private final Fir[] branches;

  private final float[] from;
  private final float[][] sum = new float[1][BLOCK];

  /**
   * A decimator.
   *
   * @param factor samples for each one that is left, 1 or more
   * @param pass highest frequency that must not change, in cycles a sample; below half of what is
   *     left
   */
  Decimator(int factor, double pass) {
    this.factor = factor;
    double transition = 1.0 / factor - 2 * pass;
    if (!(transition > 0)) {
      throw new IllegalArgumentException("pass must be below " + 0.5 / factor + ", not " + pass);
    }
    double halfWidth = KaiserSinc.halfWidth(transition, ATTENUATION);
    half = (int) Math.ceil(halfWidth);
    KaiserSinc lowPass = new KaiserSinc(0.5 / factor, half, ATTENUATION);
    // The taps of a branch are a multiple of four, which is what a Fir takes.
    int taps = (2 * half / factor / 4 + 1) * 4;
    branches = new Fir[factor];
    for (int branch = 0; branch < factor; branch++) {
      float[] ofBranch = new float[taps];
      for (int k = 0; k < taps; k++) {
        ofBranch[k] = (float) lowPass.at(k * factor + branch - half);
      }
      branches[branch] = new Fir(new float[][] {ofBranch}, BLOCK);
    }
    from = new float[BLOCK + taps];
  }

  /**
   * The samples {@code first}, {@code first + factor}, {@code first + 2 factor}, ... of the audio
   * below its low-pass. Beyond the ends of the audio is silence.
   *
   * @param audio samples
   * @param first may lie before the audio
   * @param count number of samples that come out
   */
  float[] apply(float[] audio, int first, int count) {
    float[] out = new float[count];
    for (int done = 0; done < count; done += BLOCK) {
      int n = Math.min(BLOCK, count - done);
      for (int branch = 0; branch < factor; branch++) {
        load(audio, first + done * factor + branch - half);
        branches[branch].apply(from, 0, sum, n);
        for (int i = 0; i < n; i++) {
          out[done + i] += sum[0][i];
        }
      }
    }
    return out;
  }

  /** One in {@code factor} samples from a place on. */
  private void load(float[] audio, int at) {
    int first = Math.min(from.length, Math.max(0, -Math.floorDiv(at, factor)));
    int behind = -Math.floorDiv(at - audio.length, factor);
    int last = Math.max(first, Math.min(from.length, behind));
    Arrays.fill(from, 0, first, 0);
    int place = at + first * factor;
    for (int i = first; i < last; i++) {
      from[i] = audio[place];
      place += factor;
    }
    Arrays.fill(from, last, from.length, 0);
  }
}
