package takewright.audit;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.HashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.TreeMap;
import java.util.function.Function;
import java.util.function.ToDoubleFunction;
import takewright.audit.Finding.What;
import takewright.diagnosis.Flag;
import takewright.dsp.Cents;
import takewright.dsp.Medians;

/** Finds faults of the sound: of its own, or compared with its group. */
final class SoundFindings {
  /** Lower limits of the usual difference between neighbours. */
  private static final double TUNING_FLOOR_CENTS = 6;

  /**
   * Upper limit of it: however far a group spreads, 40 cents from the neighbours sound out of tune.
   * (Trained listeners notice 20 to 25 cents in a melody: Vurma and Ross, "Production and
   * perception of musical intervals", Music Perception 23, 2006; from memory.)
   */
  private static final double TUNING_CEILING_CENTS = 10;

  private static final double PEAK_FLOOR_DB = 0.6;
  private static final double LOUDNESS_FLOOR_DB = 1;

  /** Peaks that differ by less are not heard as another level: twice the power. */
  private static final double MIN_LEVEL_DB = 3;

  /** Attacks of one instrument reach 40 dB below their peak at different speeds. */
  private static final double START_FLOOR_MS = 6;

  /** The room's level changes more within a session than the notes do. */
  private static final double NOISE_FLOOR_DB = 3;

  /** More than this many usual differences away is an outlier. */
  private static final double OUTLIER = 4;

  /** The same where three measures agree. */
  private static final double AGREED = 3.5;

  /** Noise is not normally distributed: every session has chairs and breath. */
  private static final double NOISY = 6;

  /** Noise is distinguished from a soft note only if it is this far below the sound, in dB. */
  private static final double NOISE_BELOW = 20;

  private final List<AuditedFile> files;
  private final List<Finding> found;

  SoundFindings(List<AuditedFile> files, List<Finding> found) {
    this.files = files;
    this.found = found;
  }

  void look() {
    for (AuditedFile file : files) {
      if (file.facts() != null) {
        broken(file);
      }
    }
    format(files, What.SAMPLE_RATE, "Hz", file -> file.heard().sampleRate());
    Map<String, List<AuditedFile>> articulations = new TreeMap<>();
    for (AuditedFile file : files) {
      articulations.computeIfAbsent(file.rest().words(), k -> new ArrayList<>()).add(file);
    }
    // One articulation may be stereo and another not.
    for (List<AuditedFile> alike : articulations.values()) {
      format(alike, What.CHANNELS, "channels", file -> file.heard().channels());
    }
    Map<String, List<AuditedFile>> groups = new TreeMap<>();
    for (AuditedFile file : files) {
      if (file.facts() != null && !file.flagged(Flag.SILENT)) {
        String key = file.rest().words() + "|" + file.rest().dynamic();
        groups.computeIfAbsent(key, k -> new ArrayList<>()).add(file);
      }
    }
    groups.values().forEach(this::outliers);
  }

  private void broken(AuditedFile file) {
    if (file.flagged(Flag.SILENT)) {
      add(file, What.SILENT, "", "", "digital silence from start to end");
    }
    if (file.flagged(Flag.CLIPPED)) {
      double level = file.facts().faults().clipLevelDbfs();
      String where = Double.isNaN(level) ? "full scale" : format("%.1f dBFS", level);
      add(file, What.CLIPPED, "", "", "peaks clipped at " + where);
    }
    if (file.flagged(Flag.DROPOUT)) {
      double at = (double) file.facts().faults().firstDropoutFrame() / file.heard().sampleRate();
      int gaps = file.facts().faults().dropouts();
      add(file, What.DROPOUT, "", "", format("%d in the sound, the first at %.3f s", gaps, at));
    }
    if (file.flagged(Flag.DC)) {
      double dc = file.facts().faults().dc();
      add(file, What.DC, "", "", format("the DC offset is %.4f of full scale", dc));
    }
  }

  /** Finds files that differ from most in sample rate or channels. */
  private void format(
      List<AuditedFile> files, What what, String unit, Function<AuditedFile, Integer> value) {
    Map<Integer, Integer> counts = new HashMap<>();
    int usual = 0;
    for (AuditedFile file : files) {
      if (file.facts() != null) {
        int count = counts.merge(value.apply(file), 1, Integer::sum);
        usual = count > counts.getOrDefault(usual, 0) ? value.apply(file) : usual;
      }
    }
    for (AuditedFile file : files) {
      if (file.facts() != null && value.apply(file) != usual) {
        String own = value.apply(file) + " " + unit;
        add(file, what, usual + " " + unit, own, "most files have " + usual);
      }
    }
  }

  private void outliers(List<AuditedFile> group) {
    double[] at = group.stream().mapToDouble(AuditedFile::place).toArray();
    double[] tuning = values(group, this::tuning);
    check(
        group,
        at,
        What.TUNING,
        tuning,
        Outliers.scores(at, tuning, TUNING_FLOOR_CENTS, TUNING_CEILING_CENTS),
        "%.0f cents %s its neighbours");
    levels(group, at);
    double[] start = values(group, f -> 1000 * f.facts().envelope().onsetS());
    check(
        group,
        at,
        What.START,
        start,
        Outliers.scores(at, start, START_FLOOR_MS),
        "begins %.0f ms %s its neighbours");
    double[] noise = values(group, SoundFindings::noise);
    double[] noiseScore = Outliers.scores(at, noise, NOISE_FLOOR_DB);
    double[] noiseOff = Outliers.differences(at, noise);
    for (int i = 0; i < group.size(); i++) {
      if (noiseScore[i] > NOISY) {
        String detail = format("%.0f dB noisier than its neighbours", noiseOff[i]);
        add(group.get(i), What.NOISE, "", format("%.0f dBFS", noise[i]), detail);
      }
    }
  }

  /**
   * Finds what is louder or softer. What is so differs by about as much in more than one measure: a
   * peak may be one hard attack or a swell, loudness falls with the lowest octaves by itself. Some
   * folders were made alike by their peaks and some by loudness, so each measure has its own
   * spread.
   */
  private void levels(List<AuditedFile> group, double[] at) {
    double[] peak = values(group, f -> f.facts().peakDbtp());
    double[] loudness = values(group, f -> f.facts().levelLufs());
    double[] steady = values(group, f -> f.facts().envelope().steadyRmsDbfs());
    double[] peakOff = Outliers.differences(at, peak);
    double[] loudOff = Outliers.differences(at, loudness);
    double[] steadyOff = Outliers.differences(at, steady);
    double[] middleOff = new double[group.size()];
    for (int i = 0; i < middleOff.length; i++) {
      middleOff[i] = Medians.of(new double[] {peakOff[i], loudOff[i], steadyOff[i]});
    }
    double[] peakScore = Outliers.scores(peakOff, PEAK_FLOOR_DB, Double.MAX_VALUE);
    double[] loudScore = Outliers.scores(loudOff, LOUDNESS_FLOOR_DB, Double.MAX_VALUE);
    double[] middleScore = Outliers.scores(middleOff, LOUDNESS_FLOOR_DB, Double.MAX_VALUE);
    for (int i = 0; i < group.size(); i++) {
      AuditedFile file = group.get(i);
      // Where the peaks are cut off they say nothing.
      boolean hasPeak = !file.flagged(Flag.CLIPPED);
      if (Math.abs(loudScore[i]) > OUTLIER && steadyOff[i] / loudOff[i] > 0.5) {
        level(file, loudOff[i], "by its loudness");
      } else if (hasPeak
          && Math.abs(peakScore[i]) > OUTLIER
          && Math.abs(peakOff[i]) >= MIN_LEVEL_DB
          && isHeard(peakOff[i], loudOff[i], loudOff[i] / loudScore[i])) {
        level(file, peakOff[i], "by its peak");
      } else if (hasPeak
          && Math.abs(middleScore[i]) > AGREED
          && atLeast(MIN_LEVEL_DB, peakOff[i], loudOff[i], steadyOff[i])) {
        level(file, middleOff[i], "by all measures");
      }
    }
  }

  /**
   * Whether a difference of peaks shows in loudness too: by half as much, or as much less as
   * samples of the group usually differ.
   */
  private static boolean isHeard(double peakOff, double loudOff, double usual) {
    return loudOff * Math.signum(peakOff) > 0.5 * Math.abs(peakOff) - usual;
  }

  /** Whether all differences are as large as a bound, in the same direction. */
  private static boolean atLeast(double bound, double... off) {
    return Arrays.stream(off).allMatch(x -> x * Math.signum(off[0]) >= bound);
  }

  private void level(AuditedFile file, double off, String measure) {
    String detail =
        format(
            "%.1f dB %s than its neighbours, %s",
            Math.abs(off), off > 0 ? "louder" : "softer", measure);
    add(file, What.LEVEL, "", format("%.1f LUFS", file.facts().levelLufs()), detail);
  }

  /** Cents off the note in the name, or off the nearest note if the name is wrong. */
  private double tuning(AuditedFile file) {
    if (file.pitch() == null) {
      return Double.NaN;
    }
    if (file.says() == null || file.isWrongNote()) {
      return file.pitch().cents();
    }
    double cents = 100 * (file.semitones() - file.says());
    // An uncertain octave does not affect the tuning within it.
    return Cents.withinOctave(cents);
  }

  private static double noise(AuditedFile file) {
    double before = file.facts().envelope().floorBeforeDbfs();
    double after = file.facts().envelope().floorAfterDbfs();
    double floor =
        Double.isNaN(before) ? after : Double.isNaN(after) ? before : Math.min(before, after);
    return floor <= file.facts().envelope().steadyRmsDbfs() - NOISE_BELOW ? floor : Double.NaN;
  }

  private void check(
      List<AuditedFile> group,
      double[] at,
      What what,
      double[] values,
      double[] scores,
      String text) {
    double[] off = Outliers.differences(at, values);
    for (int i = 0; i < group.size(); i++) {
      if (Math.abs(scores[i]) > OUTLIER) {
        String way =
            what == What.TUNING
                ? off[i] > 0 ? "above" : "below"
                : off[i] > 0 ? "later than" : "earlier than";
        String sounds =
            what == What.TUNING ? format("%.0f cents", values[i]) : format("%.0f ms", values[i]);
        add(group.get(i), what, "", sounds, format(text, Math.abs(off[i]), way));
      }
    }
  }

  private static double[] values(List<AuditedFile> group, ToDoubleFunction<AuditedFile> measure) {
    return group.stream().mapToDouble(measure).toArray();
  }

  private static String format(String text, Object... values) {
    return String.format(Locale.ROOT, text, values);
  }

  private void add(AuditedFile file, What what, String says, String sounds, String detail) {
    found.add(new Finding(file.file(), what, says, sounds, detail, file.pitch()));
  }
}
