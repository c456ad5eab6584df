package takewright.segment;

import java.util.Arrays;
import takewright.dsp.Selection;
import takewright.segment.room.BandSpectrum;
import takewright.segment.room.Columns;
import takewright.segment.room.Room;

/**
 * Hears what else sounds while a note does: a scratch, a knock, a chair, a voice.
 *
 * <p>The power that lies between a note's partials is followed in three bands. A note's own noise
 * (bow, breath, room) goes on or changes slowly; what comes and goes while the note goes on is not
 * the note's. It is measured as the excess over what lies before and behind, at distances from a
 * sixth of a second (a knock) to more than a second (a sentence).
 *
 * <p>In 11 takes with flaws all 31 attempts with a scratch, a knock or a voice had more of it than
 * the clean attempt at the same note. The bow changes of a violin have up to as much, so that no
 * single limit parts the two.
 */
final class ForeignSound {
  /** Edges of the bands, in hertz. */
  private static final double[] EDGES_HZ = {120, 900, 2500, BandSpectrum.HIGHEST_PARTIAL_HZ};

  /** Longest note that is followed, in seconds: what comes later is not judged. */
  private static final double LONGEST_S = 40;

  /** Bins around a partial that are its own: the window's main lobe and some vibrato. */
  private static final double LOBE_BINS = 2.6;

  /** Share of a partial's frequency that is its own as well: a vibrato's width. */
  private static final double VIBRATO = 0.02;

  /** Share of the distance between partials that they may take up at most. */
  private static final double MOST = 0.3;

  /** Distances to what lies before and behind, in columns: 0.17, 0.5 and 1.3 s. */
  private static final int[] DISTANCES = {8, 24, 60};

  /** Columns that before and behind are a median of. */
  private static final int BESIDE = 6;

  /** Columns of the attack, which has a noise of its own. */
  private static final int ATTACK = 4;

  /** An excess up to this is the note's own unrest, in dB. */
  private static final double UNREST_DB = 6;

  /** An excess counts no further than this, in dB. */
  private static final double MOST_DB = 30;

  /** Below this pitch partials lie too close, in hertz. */
  private static final double LOW_HZ = 120;

  /** A band with fewer bins between the partials says nothing. */
  private static final int LEAST_BINS = 4;

  private final BandSpectrum bands;
  private final double columnS;
  private final int bins;
  private final int longest;
  private float[] spectra;
  private int count;
  private final float[] spectrum;
  private final float[] work = new float[BESIDE];

  ForeignSound(BandSpectrum bands, int sampleRate) {
    this.bands = bands;
    columnS = (double) bands.hop() / sampleRate;
    bins = bands.spectrumBins();
    longest = (int) (LONGEST_S / columnS);
    spectra = new float[256 * bins];
    spectrum = new float[bins];
  }

  /** Begins with another note. */
  void reset() {
    count = 0;
  }

  /** Takes the next column in. */
  void add(Columns columns, long column) {
    if (count == longest) {
      return;
    }
    if ((count + 1) * bins > spectra.length) {
      spectra = Arrays.copyOf(spectra, 2 * spectra.length);
    }
    columns.spectrum(column, spectrum);
    System.arraycopy(spectrum, 0, spectra, count * bins, bins);
    count++;
  }

  /**
   * What was heard beside a note.
   *
   * @param hertz its pitch
   * @param columns how many of the columns belong to it
   * @param wrongStartS as in {@link Blemishes}
   */
  Blemishes judge(double hertz, int columns, Room room, double wrongStartS) {
    int n = Math.min(count, columns);
    double most = 0;
    double sum = 0;
    if (hertz > 0 && n > 2 * ATTACK) {
      double[] excess = new double[n];
      for (int band = 0; band + 1 < EDGES_HZ.length; band++) {
        float[] level = between(hertz, EDGES_HZ[band], EDGES_HZ[band + 1], n, room);
        if (level != null) {
          excess(level, excess);
        }
      }
      for (double db : excess) {
        most = Math.max(most, db);
        sum += Math.max(0, db - UNREST_DB) * columnS;
      }
    }
    return new Blemishes(sum, most, wrongStartS);
  }

  /**
   * Level between the partials of a note in a band, in dB by column. Where partials lie too close
   * for anything between them, as in a low note's, it is that of the whole band; null for too few
   * bins.
   */
  private float[] between(double hertz, double low, double high, int n, Room room) {
    double bin = bands.binHz();
    int[] own = new int[bins];
    int found = 0;
    double floor = 0;
    for (int k = (int) Math.ceil(low / bin);
        hertz > LOW_HZ && k < Math.min(bins, (int) (high / bin));
        k++) {
      double partial = Math.max(1, Math.round(k * bin / hertz)) * hertz;
      double reach = Math.min(MOST * hertz, VIBRATO * partial + 2 * bin);
      if (Math.abs(k * bin - partial) > Math.max(LOBE_BINS * bin, reach)) {
        own[found++] = k;
        floor += room.start(bands.bandOf(k));
      }
    }
    if (found < LEAST_BINS && hertz > LOW_HZ) {
      return null;
    }
    for (int k = (int) Math.ceil(low / bin); hertz <= LOW_HZ && k < (int) (high / bin); k++) {
      if (k < bins) {
        own[found++] = k;
        floor += room.start(bands.bandOf(k));
      }
    }
    float[] level = new float[n];
    for (int i = 0; i < n; i++) {
      double power = 0;
      for (int j = 0; j < found; j++) {
        power += spectra[i * bins + own[j]];
      }
      level[i] = (float) (10 * Math.log10(Math.max(power * bands.scale(), floor) + 1e-20));
    }
    return level;
  }

  /** Raises {@code excess} to how far each column lies over what is before and behind it. */
  private void excess(float[] level, double[] excess) {
    int n = level.length;
    float[] beside = new float[n];
    for (int i = 0; i < n; i++) {
      beside[i] = median(level, i, Math.min(n, i + BESIDE));
    }
    for (int i = ATTACK; i < n - 2; i++) {
      double here = median(level, i - 1, i + 2);
      for (int distance : DISTANCES) {
        double before = i - distance > 2 ? beside[Math.max(2, i - distance - BESIDE)] : level[2];
        double behind = beside[Math.min(n - 1, i + distance)];
        double over = Math.min(MOST_DB, here - Math.max(before, behind));
        excess[i] = Math.max(excess[i], over);
      }
    }
  }

  private float median(float[] values, int from, int to) {
    System.arraycopy(values, from, work, 0, to - from);
    return Selection.find(work, to - from, (to - from) / 2);
  }
}
