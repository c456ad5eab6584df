package takewright.segment;

import takewright.dsp.Fft;
import takewright.dsp.Fir;
import takewright.dsp.Selection;
import takewright.dsp.Windows;

/**
 * The moment a sound sets in, to the millisecond.
 *
 * <p>The columns of the segmenter find an onset to within a window. Here the samples around it are
 * looked at, through a filter that lets pass what the sound has and the room has not, and their
 * power is compared with the room's just before.
 *
 * <p>An onset is where the sound first comes within 40 dB of its peak: what is softer is the hand
 * going to the string. Where the room hides that, the rise that can be seen is drawn on downwards.
 * The longer a filter and the mean behind it, the further down it sees and the less exactly it says
 * when, so several are tried and what they say is averaged, each by the inverse square of how wrong
 * it may be.
 */
final class Onset {
  /**
   * One way to look at a rise.
   *
   * @param filterS half length of the filter, in seconds: it may smear an attack by as much
   * @param meanS length of the sliding mean of the power, in seconds
   * @param rise of that mean over the room that shows a sound, as a power ratio
   */
  private record View(double filterS, double meanS, double rise) {
    /** By how many samples what it shows may be wrong, even where nothing is hidden. */
    double blur(int sampleRate) {
      return BLUR * (filterS + meanS / 2) * sampleRate;
    }

    /** Room tone that is needed to learn the filter and the room's power from, in samples. */
    int leastQuiet(int sampleRate) {
      return (int) (4 * Math.max(meanS, filterS) * sampleRate);
    }
  }

  /**
   * From quick to far: 7 dB of a millisecond's mean, down to 1.5 dB of 60 ms. So much hardly
   * happens by chance in the third of a second that is looked at.
   */
  private static final View[] VIEWS = {
    new View(0.0015, 0.001, 5),
    new View(0.0015, 0.006, 2.5),
    new View(0.006, 0.02, 1.8),
    new View(0.02, 0.06, 1.5)
  };

  /** Length of sound that the filter is made for, in seconds from the anchor on. */
  private static final double SOUND_S = 0.15;

  /** With less room tone than this, in seconds, there is nothing to compare with. */
  private static final double LEAST_QUIET_S = 0.024;

  /** Dips shorter than this, in seconds, do not end the way back: half a period of low notes. */
  private static final double BRIDGE_S = 0.012;

  /** An onset lies this far below the peak, in dB. */
  private static final double BELOW_PEAK_DB = 40;

  /**
   * A room that thuds or swells by itself reaches more, this share of the time, than an even one,
   * which reaches up to about this many times its median: the sound must lie above that.
   */
  private static final double HIGH = 0.98;

  private static final double EVEN = 1.5;

  /** A sample this far above the room's RMS is none of the room's: 4.5 sigma, 1 in 150,000. */
  private static final double NOISE_CREST = 4.5;

  /** How far above its first sign the rise is read, in dB: enough to tell it from a flutter. */
  private static final double READ_DB = 20;

  /**
   * What is hidden is drawn on as a rise with this power of time, from nothing: an attack about as
   * the first, a swell as the second (amplitudes; from takes).
   */
  private static final double ATTACK_POWER = 1;

  private static final double SWELL_POWER = 2;

  /** A rise over {@link #READ_DB} that takes longer than this, in seconds, is a swell. */
  private static final double SWELL_S = 0.25;

  /** A rise is drawn on by this much more, in dB, since cutting late harms and early does not. */
  private static final double SAFETY_DB = 2;

  /** The same for a swell, which may rather begin too early, in dB. */
  private static final double SWELL_SAFETY_DB = 4;

  /**
   * What a filter leaves out, like a thump before a high note, may sound before what it lets pass,
   * by so much, in seconds.
   */
  private static final double LEAD_S = 0.0015;

  /** The same for a swell. */
  private static final double SWELL_LEAD_S = 0.01;

  /** What sounds so long before a note, in seconds, may be the noise that it begins with. */
  private static final double NOISE_FIRST_S = 0.005;

  /** Length of the mean in which that noise is looked for, in seconds. */
  private static final double UNFILTERED_MEAN_S = 0.002;

  /** It has more power than any such stretch of the room before it, by this ratio (2 dB). */
  private static final double UNLIKE_ROOM = 1.6;

  /** A rise is drawn on by no more than this, in seconds. */
  private static final double MOST_S = 0.15;

  /** Share of what is drawn on that may be wrong: with the next, what a view weighs by. */
  private static final double DOUBT = 0.5;

  /**
   * A view whose blur is this many times the doubt so far would weigh less than a tenth, and the
   * long ones cost the most.
   */
  private static final double FAR = 3;

  /** Share of a view's length by which what it shows may be wrong. */
  private static final double BLUR = 0.5;

  /** Filters longer than this go by transforms. */
  private static final int LONG_TAPS = 256;

  /** Of a sliding mean this many values a length say all that it has to say. */
  private static final int MEDIAN_OF = 16;

  /** Samples filtered in one go: few enough to stay in the first cache. */
  private static final int BLOCK = 512;

  private Onset() {}

  /**
   * Finds the onset in a stretch of samples.
   *
   * @param audio samples around the onset, full scale at ±1
   * @param quiet samples at the start that are room tone for certain
   * @param anchor a sample at which the sound is there for certain
   * @param peak largest absolute sample of the whole sound
   * @param sampleRate frames per second
   * @return index of the sample at which the sound sets in, not after {@code anchor}
   */
  static int find(float[] audio, int quiet, int anchor, float peak, int sampleRate) {
    if (quiet < LEAST_QUIET_S * sampleRate) {
      // The sound before rings up to here: there is no room to compare with.
      return anchor;
    }
    double loud = peak * Math.pow(10, -BELOW_PEAK_DB / 20);
    double whole = softer(audio, anchor, peak);
    boolean isPlain = loud > NOISE_CREST * rms(audio, quiet);
    double sum = 0;
    double weights = 0;
    double lead = LEAD_S;
    int firstSign = anchor;
    float[] heard = null;
    for (int v = 0; v < VIEWS.length; v++) {
      View view = VIEWS[v];
      double doubtSoFar = 1 / Math.sqrt(weights);
      if (quiet < view.leastQuiet(sampleRate) || view.blur(sampleRate) > FAR * doubtSoFar) {
        break;
      }
      if (v == 0 || view.filterS() != VIEWS[v - 1].filterS()) {
        heard = convolve(audio, filter(audio, quiet, anchor, sampleRate, view.filterS()));
      }
      Rise rise = new Rise(heard, quiet, anchor, sampleRate, view);
      if (isPlain && !rise.isSwell()) {
        // Nothing is hidden: the samples themselves say it. The mean shows a sound half its length
        // too late at most.
        int first = rise.sign - (int) (view.meanS() * sampleRate);
        return firstAbove(audio, (float) loud, first, anchor);
      }
      firstSign = v == 0 ? rise.sign : firstSign;
      double doubt = rise.locate(whole);
      double weight = 1 / (doubt * doubt);
      sum += weight * rise.onset;
      weights += weight;
      lead = rise.isSwell() ? SWELL_LEAD_S : lead;
    }
    int found = (int) Math.max(0, Math.min(anchor, sum / weights - lead * sampleRate));
    return found - firstSign > NOISE_FIRST_S * sampleRate
        ? Math.min(found, unfiltered(audio, quiet, anchor, loud, sampleRate))
        : found;
  }

  /**
   * The first sample at which the sound, as it is, comes within reach of its peak and stands clear
   * of the room: what a bow or a breath does before the note speaks lies where the filter lets
   * little pass.
   */
  private static int unfiltered(
      float[] audio, int quiet, int anchor, double loud, int sampleRate) {
    int mean = (int) (UNFILTERED_MEAN_S * sampleRate);
    int from = Math.max(mean, anchor - (int) (MOST_S * sampleRate));
    double[] white =
        slidingPower(convolve(audio, whitening(audio, quiet, sampleRate, VIEWS[0].filterS())), mean);
    double[] power = slidingPower(audio, mean);
    double max = 0;
    for (int i = mean; i < Math.min(from, quiet - mean); i++) {
      max = Math.max(max, white[i]);
    }
    double limit = UNLIKE_ROOM * max;
    int first = anchor;
    for (int i = anchor; i >= from && first - i <= 2 * mean; i--) {
      first = white[i] > limit && power[i] > loud * loud / 2 ? i : first;
    }
    return first;
  }

  private static int firstAbove(float[] audio, float limit, int from, int to) {
    int at = Math.max(0, from);
    while (at < to && Math.abs(audio[at]) <= limit) {
      at++;
    }
    return at;
  }

  private static double rms(float[] audio, int to) {
    double sum = 0;
    for (int i = 0; i < to; i++) {
      sum += (double) audio[i] * audio[i];
    }
    return Math.sqrt(sum / to);
  }

  /** How much stronger the whole sound's peak is than that of the samples at hand, as a power. */
  private static double softer(float[] audio, int anchor, float peak) {
    float here = 0;
    for (int i = anchor; i < audio.length; i++) {
      here = Math.max(here, Math.abs(audio[i]));
    }
    double more = here > 0 ? Math.max(1, peak / here) : 1;
    return more * more;
  }

  /** The power of the filtered samples over time, and the room's share in it. */
  private static final class Rise {
    private final double[] power;

    /** Its most from the anchor on. */
    private final double most;

    private final double room;
    private final double limit;
    private final double seen;
    private final int anchor;
    private final int sampleRate;
    private final View view;

    /** The first sample, from the anchor back, at which the sound is seen. */
    private final int sign;

    /** Where the sound sets in. */
    private int onset;

    Rise(float[] heard, int quiet, int anchor, int sampleRate, View view) {
      this.anchor = anchor;
      this.sampleRate = sampleRate;
      this.view = view;
      int mean = Math.max(1, (int) (view.meanS() * sampleRate));
      power = slidingPower(heard, mean);
      most = most(power, anchor);
      int step = Math.max(1, mean / MEDIAN_OF);
      float[] before = everyOther(power, mean, quiet - mean, step);
      int middle = before.length / 2;
      int high = Math.min(before.length - 1, (int) (HIGH * before.length));
      room = Math.max(1e-14, Selection.find(before, before.length, middle));
      double knocks = Selection.find(before, middle, before.length, high);
      limit = Math.max(room * view.rise(), knocks / EVEN);
      seen = limit - room;
      sign = firstSign((int) (Math.max(BRIDGE_S, view.meanS() / 2) * sampleRate));
    }

    /**
     * Sets the onset, and says by how many samples it may be wrong.
     *
     * @param whole how much stronger the whole sound's peak is than that of these samples, as a
     *     power
     */
    double locate(double whole) {
      double target = most * whole * Math.pow(10, -BELOW_PEAK_DB / 10);
      double blur = view.blur(sampleRate);
      if (target >= seen) {
        onset = Math.min(anchor, reaches(sign, target));
        return blur;
      }
      boolean isSwell = isSwell();
      double power = isSwell ? SWELL_POWER : ATTACK_POWER;
      double hidden = 10 * Math.log10(seen / target) + (isSwell ? SWELL_SAFETY_DB : SAFETY_DB);
      // With the amplitude as t^p, so long has it risen when it is first seen.
      double risen = took() / (Math.pow(10, read() / (20 * power)) - 1);
      double before = risen * (1 - Math.pow(10, -hidden / (20 * power)));
      before = Math.min(MOST_S * sampleRate, before);
      onset = (int) Math.max(0, sign - before);
      return blur + DOUBT * before;
    }

    /** Every {@code step}th value of a part. */
    private static float[] everyOther(double[] values, int from, int to, int step) {
      float[] some = new float[(to - from + step - 1) / step];
      for (int i = 0; i < some.length; i++) {
        some[i] = (float) values[from + i * step];
      }
      return some;
    }

    /** How far the rise is read, in dB. */
    private double read() {
      return Math.min(READ_DB, 10 * Math.log10(most / seen) - 3);
    }

    /** How many samples it takes for that. */
    private int took() {
      return reaches(sign, seen * Math.pow(10, read() / 10)) - sign;
    }

    boolean isSwell() {
      return took() > SWELL_S * sampleRate;
    }

    private static double most(double[] power, int from) {
      double most = 0;
      for (int i = from; i < power.length; i++) {
        if (power[i] > most) {
          most = power[i];
        }
      }
      return most;
    }

    /** From the anchor back, as long as the sound is there with no more than short dips. */
    private int firstSign(int bridge) {
      int first = anchor;
      for (int i = anchor; i >= 0 && first - i <= bridge; i--) {
        if (power[i] > limit) {
          first = i;
        }
      }
      return first;
    }

    /** The first place from one on at which the sound has a power. */
    private int reaches(int from, double target) {
      int at = from;
      while (at < power.length - 1 && power[at] - room < target) {
        at++;
      }
      return at;
    }
  }

  /** A short filter of linear phase that lets pass where the sound is stronger than the room. */
  private static double[] filter(
      float[] audio, int quiet, int anchor, int sampleRate, double halfS) {
    int half = (int) (halfS * sampleRate);
    int length = Integer.highestOneBit((int) (SOUND_S * sampleRate));
    length = Math.min(length, Integer.highestOneBit(quiet));
    Fft fft = Fft.of(length);
    int reach = Math.max(1, length / (4 * half));
    float[] sound = spectrum(audio, fft, Math.min(anchor, audio.length - length), reach);
    float[] tone = spectrum(audio, fft, quiet - length, reach);
    float[] response = new float[length];
    for (int k = 0; k < length / 2; k++) {
      double more = Math.max(0, sound[k] - tone[k]);
      // The matched filter's magnitude: root of the signal over the noise.
      response[2 * k] = (float) (Math.sqrt(more) / (tone[k] + 1e-20));
    }
    return taps(fft, response, half);
  }

  /** A short filter of linear phase after which all of the room is alike. */
  private static double[] whitening(float[] audio, int quiet, int sampleRate, double halfS) {
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

  /** Mean square over {@code mean} samples around every sample; nothing lies beyond the ends. */
  private static double[] slidingPower(float[] audio, int mean) {
    double[] power = new double[audio.length];
    double sum = 0;
    int half = mean / 2;
    for (int i = 0; i < Math.min(half, audio.length); i++) {
      sum += square(audio, i);
    }
    for (int i = half; i < audio.length + half; i++) {
      if (i >= mean && i < audio.length) {
        // One sum after the other, not two.
        double in = (double) audio[i] * audio[i];
        double out = (double) audio[i - mean] * audio[i - mean];
        sum += in - out;
      } else {
        sum += square(audio, i) - square(audio, i - mean);
      }
      power[i - half] = sum;
    }
    // In a loop of its own, which becomes vector code: a division takes longer than the rest.
    for (int i = 0; i < power.length; i++) {
      power[i] = Math.max(0, power[i]) / mean;
    }
    return power;
  }

  /** The square of a sample; nothing lies beyond the ends. */
  private static double square(float[] audio, int i) {
    return i < 0 || i >= audio.length ? 0 : (double) audio[i] * audio[i];
  }
}
