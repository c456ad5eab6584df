package takewright.segment.onset;

import java.util.Arrays;
import takewright.dsp.Decibels;
import takewright.segment.room.RoomSpread;

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
public final class Onset {
  /**
   * From quick to far: 7 dB of a millisecond's mean, down to 1.5 dB of 60 ms. So much hardly
   * happens by chance in the third of a second that is looked at.
   */
  private static final Rise.View[] VIEWS = {
    new Rise.View(0.0015, 0.001, 5),
    new Rise.View(0.0015, 0.006, 2.5),
    new Rise.View(0.006, 0.02, 1.8),
    new Rise.View(0.02, 0.06, 1.5)
  };

  /** With less room tone than this, in seconds, there is nothing to compare with. */
  private static final double MIN_QUIET_S = 0.024;

  /** An onset lies this far below the peak, in dB. */
  static final double BELOW_PEAK_DB = 40;

  /** A sample this far above the room's RMS is none of the room's: 4.5 sigma, 1 in 150,000. */
  private static final double NOISE_CREST = 4.5;

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
  private static final double NOISE_MEAN_S = 0.002;

  /**
   * It has more power than nine in ten such stretches of the room just before it, by this ratio (2
   * dB).
   */
  private static final double UNLIKE_ROOM = 1.6;

  /** That room is this long, in seconds: earlier the note before may still ring. */
  private static final double LATEST_S = 0.3;

  /** It is looked for up to so long before the note is there for certain, in seconds. */
  private static final double NOISE_S = 0.15;

  /** Length of the mean in which a slow attack is followed back through the bare samples. */
  private static final double NEAR_MEAN_S = 0.004;

  /** It is followed back so far, in seconds: further, a rail joint before a note joins in. */
  private static final double NEAR_S = 0.01;

  /** It has more power than the room by this ratio (3 dB). */
  private static final double OVER_ROOM = 2;

  /**
   * A view whose blur is this many times the doubt so far would weigh less than a tenth, and the
   * long ones cost the most.
   */
  private static final double FAR = 3;

  /** So much of its rise may be hidden, in dB, and what is drawn on is still right. */
  private static final double DRAWN_ON_DB = 3;

  /**
   * For each further dB that the room hides from the filters, a sound may have begun so much
   * earlier than its rise drawn on says, in seconds: soft attacks of a reed took up to 2 ms a dB.
   */
  private static final double HIDDEN_S = 0.0016;

  /** The bare samples say when a sound begins though the room hides so much of it, in dB. */
  private static final double SEEN_THROUGH_DB = 6;

  /** For each further dB the noise of a bow may sound so much before its note, in seconds. */
  private static final double HIDDEN_NOISE_S = 0.0002;

  /** No more than this, in seconds, so that samples of a restless room still start together. */
  private static final double MAX_HIDDEN_S = 0.015;

  private final float[] audio;
  private final int quiet;
  private final int anchor;
  private final int sampleRate;
  private final OnsetFilters filters;

  /** Amplitude from which on a sample belongs to the onset. */
  private final double loud;

  /** How much stronger the whole sound's peak is than that of the samples at hand, as a power. */
  private final double whole;

  private final boolean isPlain;
  private final double hertz;

  private Onset(
      float[] audio, int quiet, int anchor, WholeSound sound, int sampleRate, RoomSpread room) {
    this.audio = audio;
    this.quiet = quiet;
    this.anchor = anchor;
    this.sampleRate = sampleRate;
    filters = new OnsetFilters(audio, quiet, anchor, sampleRate, room);
    hertz = sound.hertz();
    loud = sound.peak() * Decibels.toAmplitude(-BELOW_PEAK_DB);
    whole = whole(sound.peak());
    isPlain = loud > NOISE_CREST * rms();
  }

  /**
   * Where a sound sets in.
   *
   * @param frame at which it most likely does, counted as the samples that were looked at
   * @param hidden frames by which it may have begun earlier, where the room hides that; 0 where it
   *     stands clear
   */
  public record Found(long frame, long hidden) {
    /** The same, with its frame counted from a start that lies this many frames earlier. */
    public Found after(long frames) {
      return new Found(frame + frames, hidden);
    }

    /** The same, but not before a frame, before which nothing of it lies. */
    public Found notBefore(long earliest) {
      return frame >= earliest ? this : new Found(earliest, 0);
    }
  }

  /**
   * What is known of the whole sound.
   *
   * @param peak its largest absolute sample, full scale at 1
   * @param hertz its pitch; 0 where it has none
   */
  public record WholeSound(float peak, double hertz) {}

  /**
   * Finds the onset in a stretch of samples.
   *
   * @param audio samples around the onset, full scale at ±1
   * @param quiet samples at the start that are room tone for certain
   * @param anchor a sample at which the sound is there for certain
   * @param sound what is known of it
   * @param sampleRate frames per second
   * @param room how far the room moves by itself
   * @return the sample at which the sound sets in, not after {@code anchor}
   */
  public static Found find(
      float[] audio, int quiet, int anchor, WholeSound sound, int sampleRate, RoomSpread room) {
    if (quiet < MIN_QUIET_S * sampleRate) {
      // The sound before rings up to here: there is no room to compare with.
      return new Found(anchor, 0);
    }
    return new Onset(audio, quiet, anchor, sound, sampleRate, room).find();
  }

  private Found find() {
    double sum = 0;
    double weights = 0;
    double hiddenDb = 0;
    double lead = LEAD_S;
    float[] heard = null;
    int seen = anchor;
    double[] power = new double[audio.length];
    for (int v = 0; v < VIEWS.length; v++) {
      Rise.View view = VIEWS[v];
      double doubtSoFar = 1 / Math.sqrt(weights);
      if (quiet < view.minQuiet(sampleRate) || view.blur(sampleRate) > FAR * doubtSoFar) {
        break;
      }
      if (v == 0 || view.filterS() != VIEWS[v - 1].filterS()) {
        heard = filters.matched(view.filterS());
      }
      Rise rise = new Rise(heard, power, quiet, anchor, sampleRate, view, filters.highest(), hertz);
      if (isPlain) {
        // Nothing is hidden: the samples themselves say it. The mean shows a sound half its length
        // too late at most.
        int first = firstLoud(rise.sign() - (int) (view.meanS() * sampleRate));
        return new Found(behindDip(first), 0);
      }
      seen = Math.min(seen, rise.sign());
      double doubt = rise.locate(whole);
      double weight = 1 / (doubt * doubt);
      sum += weight * rise.onset();
      weights += weight;
      hiddenDb += weight * rise.hiddenDb(whole);
      lead = rise.isSwell() ? SWELL_LEAD_S : lead;
    }
    int found = (int) Math.max(0, Math.min(anchor, sum / weights - lead * sampleRate));
    found = isLoudBefore(found) ? firstNear(seen, Math.min(found, firstNoise())) : found;
    return new Found(behindDip(found), hidden(hiddenDb / weights));
  }

  /**
   * The same sample, or where the note rises behind a noise of the room that had fallen by then.
   */
  private int behindDip(int found) {
    double rms = rms();
    return LastDip.before(audio, found, anchor, hertz, sampleRate, rms * rms);
  }

  /** By how many frames it may have begun earlier than it is seen to. */
  private long hidden(double hiddenDb) {
    double noiseDb = Decibels.fromAmplitude(NOISE_CREST * rms() / loud);
    double seconds =
        HIDDEN_S * Math.max(0, hiddenDb - DRAWN_ON_DB)
            + HIDDEN_NOISE_S * Math.max(0, noiseDb - SEEN_THROUGH_DB);
    return Math.round(Math.min(MAX_HIDDEN_S, seconds) * sampleRate);
  }

  /** Whether what lies before a sample may be the sound's, too. */
  private boolean isLoudBefore(int at) {
    int from = Math.max(0, at - (int) (NOISE_FIRST_S * sampleRate));
    double sum = 0;
    for (int i = from; i < at; i++) {
      sum += (double) audio[i] * audio[i];
    }
    return sum > (at - from) * loud * loud / 2;
  }

  /**
   * The first sample at which the sound stands clear of the room and comes within reach of its
   * peak: what a bow or a breath does before the note speaks lies where the filter lets little
   * pass.
   */
  private int firstNoise() {
    int mean = (int) (NOISE_MEAN_S * sampleRate);
    int from = Math.max(mean, anchor - (int) (NOISE_S * sampleRate));
    // Nothing behind the anchor is looked at.
    int length = Math.min(audio.length, anchor + 2 * mean);
    double[] white = new double[length];
    SlidingPower.of(filters.whitened(VIEWS[0].filterS(), length), mean, white);
    double[] power = new double[length];
    SlidingPower.of(Arrays.copyOf(audio, length), mean, power);
    // A low string's noise comes in bursts, one a period.
    double period = hertz > 0 ? Math.min(Rise.BRIDGE_S, 1 / hertz) : 0;
    int bridge = Math.max(2 * mean, (int) (period * sampleRate));
    int until = Math.min(from, quiet - mean);
    double crest =
        Rise.crest(white, Math.max(mean, until - (int) (LATEST_S * sampleRate)), until, bridge);
    double limit = UNLIKE_ROOM * (crest > 0 ? crest : max(white, mean, until));
    int first = anchor;
    for (int i = anchor; i >= from && first - i <= bridge; i--) {
      first = white[i] > limit && power[i] > loud * loud / 2 ? i : first;
    }
    return first;
  }

  /**
   * The first sample, from one on back to where a filter shows a sign of the sound, up to which the
   * bare samples come within reach of its peak and stand above the room.
   */
  private int firstNear(int sign, int found) {
    double period = hertz > 0 ? Math.min(Rise.BRIDGE_S, 1 / hertz) : 0;
    int mean = (int) (Math.max(NEAR_MEAN_S, period) * sampleRate);
    int last = Math.min(audio.length, found + mean);
    double sum = 0;
    for (int i = found; i < last; i++) {
      sum += (double) audio[i] * audio[i];
    }
    double rms = rms();
    double limit = mean * Math.max(loud * loud / 2, OVER_ROOM * rms * rms);
    int earliest = Math.max(sign, found - (int) (NEAR_S * sampleRate));
    int at = found;
    while (at > earliest && sum > limit) {
      at--;
      double out = at + mean < last ? audio[at + mean] : 0;
      sum += (double) audio[at] * audio[at] - out * out;
    }
    return at;
  }

  private static double max(double[] values, int from, int to) {
    double max = 0;
    for (int i = from; i < to; i++) {
      max = Math.max(max, values[i]);
    }
    return max;
  }

  private int firstLoud(int from) {
    int at = Math.max(0, from);
    while (at < anchor && Math.abs(audio[at]) <= loud) {
      at++;
    }
    return at;
  }

  /** RMS of the room before the sound. */
  private double rms() {
    double sum = 0;
    for (int i = 0; i < quiet; i++) {
      sum += (double) audio[i] * audio[i];
    }
    return Math.sqrt(sum / quiet);
  }

  private double whole(float peak) {
    float here = 0;
    for (int i = anchor; i < audio.length; i++) {
      here = Math.max(here, Math.abs(audio[i]));
    }
    double more = here > 0 ? Math.max(1, peak / here) : 1;
    return more * more;
  }
}
