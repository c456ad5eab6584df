package takewright.segment;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Objects;
import java.util.stream.Stream;
import takewright.dsp.Decibels;
import takewright.dsp.Selection;
import takewright.segment.flaw.Excess;
import takewright.segment.flaw.Knocks;
import takewright.segment.flaw.NeighbouringBands;
import takewright.segment.flaw.NoiseCourse;
import takewright.segment.flaw.NoteAudio;
import takewright.segment.flaw.PartialsCourse;
import takewright.segment.flaw.PartialsHeard;
import takewright.segment.flaw.TailSound;
import takewright.segment.room.BandSpectrum;
import takewright.segment.room.Columns;
import takewright.segment.room.Room;

/**
 * Hears what else sounds while a note does: a scratch, a knock, a chair, a voice.
 *
 * <p>The power that lies between a note's partials is followed in bands of a third of an octave. A
 * note's own noise (bow, breath, room) goes on or changes slowly; what comes and goes while the
 * note goes on is not the note's. It is measured as the excess over what lies before and behind, at
 * distances from a sixth of a second (a knock) to more than a second (a sentence). It counts where
 * three neighbouring bands have it together.
 *
 * <p>What adds itself to a note leaves its partials as they are. Where they sink, the bow or the
 * breath changes, and what rises between them is the note's own.
 */
final class ForeignSound {
  /** Lowest edge of the bands, in hertz. */
  private static final double LOWEST_HZ = 120;

  /** A band is this much wide, upper edge to lower: a third of an octave. */
  private static final double WIDTH = Math.pow(2, 1.0 / 3);

  /** Longest note that is followed, in seconds: what comes later is not judged. */
  private static final double LONGEST_S = 40;

  /** Bins around a partial that are its own: the window's main lobe and some vibrato. */
  private static final double LOBE_BINS = 2.6;

  /** Share of a partial's frequency that is its own as well: a vibrato's width. */
  private static final double VIBRATO = 0.02;

  /** Share of the distance between partials that they may take up at most. */
  private static final double MAX_SHARE = 0.3;

  /** The note's own unrest is up to this multiple of what three of four columns stay under. */
  private static final double UNREST = 2;

  /** But no less and no more than this, in dB. */
  private static final double MIN_UNREST_DB = 4;

  private static final double MAX_UNREST_DB = 8;

  /** Below this pitch partials lie too close, in hertz. */
  private static final double LOW_HZ = 120;

  /** A band with fewer bins between the partials says nothing. */
  private static final int MIN_BINS = 3;

  /** Partials among which the strongest are followed. */
  private static final int PARTIALS = 12;

  /** How many of them are followed. */
  private static final int STRONGEST = 6;

  /** Columns within which a note that is broken off stops: a bow, a tongue or a hand (64 ms). */
  private static final int STOP = 3;

  private final BandSpectrum bands;
  private final double columnS;
  private final int bins;
  private final int longest;
  private float[] spectra;
  private int count;

  /** Index of the first column that belongs to the note. */
  private int begin;

  private long firstColumn;
  private final NoteAudio audio;
  private final Knocks knocks;
  private final Aperiodicity aperiodicity;
  private final float[] spectrum;
  private final Excess overBeside = new Excess();

  ForeignSound(Columns columns) {
    bands = columns.bands();
    columnS = (double) bands.hop() / columns.sampleRate();
    audio = new NoteAudio(columns);
    knocks = new Knocks(audio);
    aperiodicity = new Aperiodicity(audio, columnS);
    bins = bands.spectrumBins();
    longest = (int) (LONGEST_S / columnS);
    spectra = new float[256 * bins];
    spectrum = new float[bins];
  }

  /** Begins with another note. */
  void reset() {
    count = 0;
    audio.reset();
  }

  /** Takes the next column in. */
  void add(Columns columns, long column) {
    if (count == longest) {
      return;
    }
    if ((count + 1) * bins > spectra.length) {
      spectra = Arrays.copyOf(spectra, 2 * spectra.length);
    }
    firstColumn = count == 0 ? column : firstColumn;
    audio.add(column);
    columns.spectrum(column, spectrum);
    System.arraycopy(spectrum, 0, spectra, count * bins, bins);
    count++;
  }

  /** Column behind the last in which the partials of a note at a pitch in hertz are heard. */
  long partialsEnd(double hertz, int first, Room room) {
    double partial = hertz / bands.binHz();
    return firstColumn
        + PartialsHeard.end(
            spectra, bins, partial, first, count, k -> room.power(bands.bandOf(k)) / bands.scale());
  }

  /**
   * Which of the columns taken in a note fills.
   *
   * @param first index of its first
   * @param end index behind the last in which anything is heard
   * @param inside index behind the last that is part of its sample
   * @param heard index behind the last in which it is heard to fade
   */
  record NoteColumns(int first, int end, int inside, int heard) {}

  /**
   * What was heard beside a note.
   *
   * @param hertz its pitch
   * @param beginning how it begins
   * @param hiddenFrames as in {@link Blemishes.Ending}
   */
  Blemishes judge(
      double hertz, NoteColumns span, Room room, Blemishes.NoteStart beginning, long hiddenFrames) {
    int first = span.first();
    begin = first;
    int n = Math.min(count, span.end()) - first;
    if (hertz <= 0 || n <= 2 * Excess.ATTACK) {
      double stopDb = hertz <= 0 || n <= 0 ? 0 : stopDb(hertz, n);
      return Blemishes.NONE.with(beginning).with(new Blemishes.Ending(hiddenFrames, 0, stopDb));
    }
    List<float[]> levels = levels(hertz, n, room);
    List<float[]> excesses = heard(levels).map(overBeside::of).toList();
    float[] excess = NeighbouringBands.together(excesses, n);
    double[] partials = partials(hertz, n);
    float[] holds = PartialsCourse.holding(partials, n);
    float[] goesOn = PartialsCourse.goingOn(partials, n);
    double unrest = unrest(excess, n);
    double most = 0;
    double sum = 0;
    float[] weighted = new float[n];
    int last = Math.min(n, span.inside() - first) - Excess.LAST;
    int settled = Excess.settled(hertz, columnS);
    for (int i = Excess.ATTACK; i < last; i++) {
      double weight = i < settled ? 0 : Math.min(holds[i], goesOn[i]);
      weighted[i] = (float) (weight * excess[i]);
      most = Math.max(most, weight * excess[i]);
      sum += weight * Math.max(0, excess[i] - unrest) * columnS;
      excess[i] *= goesOn[i];
    }
    double seconds = Math.min(1, n * columnS);
    Knocks.Blow knock = knocks.sharpest(firstColumn + begin, excess, Excess.ATTACK, last);
    // What rises behind the sample's end is none of it.
    int inside = Math.max(1, Math.min(count, span.inside()) - first);
    int faded = Math.min(inside, Math.max(n, Math.min(count, span.heard()) - first));
    int stopped = Math.min(count - begin, n + STOP);
    float[] power = partialsPower(hertz, Math.max(faded, stopped));
    int body = TailSound.bodyEnd(Arrays.copyOf(power, faded));
    List<float[]> fading = heard(levels(hertz, faded, room)).toList();
    double rises = TailSound.risesDbS(fading, body, columnS);
    double stopDb = TailSound.stopDb(Arrays.copyOf(power, stopped), STOP, columnS);
    Blemishes.FlawPlaces places =
        new Blemishes.FlawPlaces(
            most > unrest ? aroundMost(weighted) : null,
            knock.db() > 0 ? FrameRange.around(knock.frame(), 1, bands.hop()) : null,
            rises > 0 ? frames(body, faded) : null,
            null,
            null);
    return new Blemishes(
        beginning,
        new Blemishes.Beside(sum / seconds, most, knock.db()),
        new Blemishes.Ending(hiddenFrames, rises, stopDb),
        aperiodicity.of(hertz, firstColumn + begin, goesOn),
        NoiseCourse.of(levels, n - Excess.LAST, power),
        places);
  }

  /**
   * How far a note falls where it stops, in dB: all that can be measured of one so short.
   *
   * @param n its columns
   */
  private double stopDb(double hertz, int n) {
    float[] power = partialsPower(hertz, Math.min(count - begin, n + STOP));
    return TailSound.stopDb(power, STOP, columnS);
  }

  /** The columns around the highest in which the excess is at least half of it, in dB. */
  private FrameRange aroundMost(float[] excess) {
    int highest = 0;
    for (int i = 1; i < excess.length; i++) {
      highest = excess[i] > excess[highest] ? i : highest;
    }
    int from = highest;
    while (from > 0 && excess[from - 1] >= excess[highest] / 2) {
      from--;
    }
    int to = highest + 1;
    while (to < excess.length && excess[to] >= excess[highest] / 2) {
      to++;
    }
    return frames(from, to);
  }

  /** The frames of the note's columns from one to (not including) another. */
  private FrameRange frames(int from, int to) {
    return FrameRange.around((firstColumn + begin + from) * bands.hop(), to - from, bands.hop());
  }

  private static double unrest(float[] excess, int n) {
    float[] inside = Arrays.copyOfRange(excess, Excess.ATTACK, n - Excess.LAST);
    double usual = Selection.find(inside, inside.length, 3 * inside.length / 4);
    return Math.max(MIN_UNREST_DB, Math.min(MAX_UNREST_DB, UNREST * usual));
  }

  private static Stream<float[]> heard(List<float[]> levels) {
    return levels.stream().filter(Objects::nonNull);
  }

  /** Levels between the partials, in dB by column; null for each band that says nothing. */
  private List<float[]> levels(double hertz, int n, Room room) {
    List<float[]> levels = new ArrayList<>();
    double highest = Math.min(BandSpectrum.HIGHEST_PARTIAL_HZ, bins * bands.binHz());
    for (double low = LOWEST_HZ; low * WIDTH <= highest; low *= WIDTH) {
      levels.add(between(hertz, low, low * WIDTH, n, room));
    }
    return levels;
  }

  /** Power of the lowest partials together, by column. */
  private float[] partialsPower(double hertz, int n) {
    float[] sum = new float[n];
    for (int h = 1; h <= STRONGEST && (h + 0.5) * hertz < bins * bands.binHz(); h++) {
      float[] level = partial(h * hertz, n);
      for (int i = 0; i < n; i++) {
        sum[i] += (float) Decibels.toPower(level[i]);
      }
    }
    return sum;
  }

  /**
   * Level between the partials of a note in a band, in dB by column. Where partials lie too close
   * for anything between them, as in a low note's, it is that of the whole band; null for too few
   * bins.
   */
  private float[] between(double hertz, double low, double high, int n, Room room) {
    double bin = bands.binHz();
    int[] own = new int[(int) (high / bin) + 1];
    int found = 0;
    double floor = 1e-14;
    for (int k = (int) Math.ceil(low / bin); k < Math.min(bins, high / bin); k++) {
      if (hertz <= LOW_HZ || isBetween(k * bin, hertz, bin)) {
        own[found++] = k;
        floor += room.power(bands.bandOf(k));
      }
    }
    if (found < MIN_BINS) {
      return null;
    }
    float[] level = new float[n];
    for (int i = 0; i < n; i++) {
      double power = 0;
      for (int j = 0; j < found; j++) {
        power += spectra[(begin + i) * bins + own[j]];
      }
      level[i] = (float) Decibels.fromPower(Math.max(power * bands.scale(), floor));
    }
    return level;
  }

  private static boolean isBetween(double hz, double hertz, double bin) {
    double partial = Math.max(1, Math.round(hz / hertz)) * hertz;
    double reach = Math.min(MAX_SHARE * hertz, VIBRATO * partial + 2 * bin);
    return Math.abs(hz - partial) > Math.max(LOBE_BINS * bin, reach);
  }

  /** Running sum of the mean level of the strongest partials, in dB by column. */
  private double[] partials(double hertz, int n) {
    float[][] levels = new float[PARTIALS][];
    float[] strength = new float[PARTIALS];
    int found = 0;
    for (int h = 1; h <= PARTIALS && (h + 0.5) * hertz < bins * bands.binHz(); h++) {
      levels[found] = partial(h * hertz, n);
      strength[found] = Selection.find(levels[found].clone(), n, n / 2);
      found++;
    }
    float least =
        found <= STRONGEST ? -1000 : Selection.find(strength.clone(), found, found - STRONGEST);
    double[] sums = new double[n + 1];
    int followed = 0;
    for (int p = 0; p < found; p++) {
      if (strength[p] >= least) {
        followed++;
        for (int i = 0; i < n; i++) {
          sums[i + 1] += levels[p][i];
        }
      }
    }
    for (int i = 0; i < n; i++) {
      sums[i + 1] = sums[i] + sums[i + 1] / Math.max(1, followed);
    }
    return sums;
  }

  /** Level of a partial, in dB by column. */
  private float[] partial(double hz, int n) {
    double bin = bands.binHz();
    double reach = Math.max(LOBE_BINS * bin, VIBRATO * hz);
    int from = Math.max(1, (int) Math.ceil((hz - reach) / bin));
    int to = Math.min(bins, (int) ((hz + reach) / bin) + 1);
    float[] level = new float[n];
    for (int i = 0; i < n; i++) {
      double power = 1e-14;
      for (int k = from; k < to; k++) {
        power += spectra[(begin + i) * bins + k] * bands.scale();
      }
      level[i] = (float) Decibels.fromPower(power);
    }
    return level;
  }
}
