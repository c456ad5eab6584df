package takewright.library.take;

import java.io.IOException;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import takewright.analyse.Analyse;
import takewright.analyse.AnalyseSettings;
import takewright.analyse.SampleFacts;
import takewright.audio.AudioFile;
import takewright.audio.Clip;
import takewright.audio.Recording;
import takewright.dsp.Decibels;
import takewright.level.Level;
import takewright.level.LevelSettings;
import takewright.level.Lift;
import takewright.level.NoteGain;
import takewright.level.Played;
import takewright.segment.Region;
import takewright.sheet.LevelRules;
import takewright.sheet.Take;

/**
 * The gains of all samples, found from the takes before a sample is made. So each is written once,
 * and what an interrupted build had finished is what a build that ran through would have written.
 */
public final class LevelsOfTakes {
  /**
   * Cleaning and tuning move a peak by a little, in dB: so much is kept free, so that no sample has
   * to be lowered on its own afterwards.
   */
  private static final double SPARE_DB = 0.3;

  /** Of what is hardly louder than the room at least this share of the power is the note's. */
  private static final double MIN_NOTE_SHARE = 0.1;

  private static final Remembered<SampleFacts> FACTS = new Remembered<>(10_000);

  private static final AnalyseSettings LEVELS_ONLY =
      new AnalyseSettings(true, AnalyseSettings.DEFAULTS.tuningHz());

  private LevelsOfTakes() {}

  /** How loud a region is: its loudness in the main microphone, its peak in all of them. */
  public static Played measure(KeptRegion kept, Map<String, CutTake.TakeRoom> rooms)
      throws IOException {
    Take take = kept.take();
    Region region = kept.region();
    double loudness = Double.NaN;
    double peak = Double.NEGATIVE_INFINITY;
    for (Map.Entry<String, Recording> microphone : take.files().entrySet()) {
      SampleFacts facts =
          FACTS.get(
              microphone.getValue(),
              List.of(region.start(), region.end()),
              () -> facts(microphone.getValue(), region));
      peak = Math.max(peak, facts.peakDbtp());
      if (microphone.getValue().equals(take.main())) {
        loudness = withoutRoom(facts.levelLufs(), rooms.get(microphone.getKey()));
      }
    }
    return new Played(kept.cell().midi(), kept.cell().dynamic(), loudness, peak);
  }

  private static SampleFacts facts(Recording microphone, Region region) throws IOException {
    try (AudioFile file = CutTake.open(microphone)) {
      file.seek(region.start());
      int frames = (int) (region.end() - region.start());
      return Analyse.apply(Clip.read(file, frames), LEVELS_ONLY);
    }
  }

  /** Powers of note and room add up. */
  private static double withoutRoom(double lufs, CutTake.TakeRoom room) {
    if (Double.isNaN(lufs) || room == null) {
      return lufs;
    }
    double power = meanSquare(lufs);
    double note = Math.max(MIN_NOTE_SHARE * power, power - room.loudness());
    return lufs + Decibels.fromPower(note / power);
  }

  /** The loudness of room tone as a mean square; what is too soft to have one counts as silent. */
  static double meanSquare(List<Clip> tones) {
    double sum = 0;
    for (Clip tone : tones) {
      double lufs = Analyse.apply(tone, LEVELS_ONLY).levelLufs();
      sum += Double.isNaN(lufs) ? 0 : meanSquare(lufs);
    }
    return sum / tones.size();
  }

  /** Up to a common factor. */
  private static double meanSquare(double lufs) {
    return Decibels.toPower(lufs);
  }

  /**
   * The gains of all regions that are kept, articulation by articulation, in steps of 0.01 dB: what
   * lies within makes no difference, and so a small change elsewhere leaves most samples as they
   * are.
   *
   * @param played how loud each is, in the order of the sheet and of its takes
   */
  public static Map<KeptRegion, NoteGain> gains(Map<KeptRegion, Played> played) {
    Map<String, List<KeptRegion>> articulations = new LinkedHashMap<>();
    for (KeptRegion kept : played.keySet()) {
      articulations.computeIfAbsent(kept.take().articulation(), a -> new ArrayList<>()).add(kept);
    }
    Map<KeptRegion, NoteGain> gains = new HashMap<>();
    for (List<KeptRegion> regions : articulations.values()) {
      Map<Take, Double> lifts = lifts(regions, played);
      List<Played> lifted = new ArrayList<>();
      for (KeptRegion kept : regions) {
        lifted.add(played.get(kept).louder(lifts.getOrDefault(kept.take(), 0.0)));
      }
      List<NoteGain> found =
          Level.apply(lifted, regions.stream().map(LevelsOfTakes::settings).toList());
      for (int i = 0; i < found.size(); i++) {
        NoteGain gain = found.get(i);
        double lift = lifts.getOrDefault(regions.get(i).take(), 0.0);
        gains.put(
            regions.get(i),
            new NoteGain(rounded(lift + gain.gainDb()), gain.limited(), rounded(gain.curveLufs())));
      }
    }
    return gains;
  }

  /** How far each pick-up of an articulation is raised as a whole to join the library, in dB. */
  private static Map<Take, Double> lifts(List<KeptRegion> regions, Map<KeptRegion, Played> played) {
    Map<Take, List<Played>> pickUps = new LinkedHashMap<>();
    List<Played> library = new ArrayList<>();
    for (KeptRegion kept : regions) {
      boolean isPickUp = kept.take().fills().isPickUp();
      (isPickUp ? pickUps.computeIfAbsent(kept.take(), t -> new ArrayList<>()) : library)
          .add(played.get(kept));
    }
    Map<Take, Double> lifts = new LinkedHashMap<>();
    pickUps.forEach((take, added) -> lifts.put(take, Lift.db(library, added)));
    return lifts;
  }

  private static LevelSettings settings(KeptRegion kept) {
    LevelRules rules = kept.take().rules().levels();
    return new LevelSettings(
        rules.maxDb(), rules.strength(), LevelSettings.DEFAULTS.ceilingDbtp() - SPARE_DB);
  }

  private static double rounded(double db) {
    return Math.rint(100 * db) / 100;
  }
}
