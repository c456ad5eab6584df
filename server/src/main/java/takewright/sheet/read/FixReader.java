package takewright.sheet.read;

import java.util.ArrayList;
import java.util.EnumSet;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import takewright.diagnosis.Flag;
import takewright.diagnosis.Place;
import takewright.diagnosis.SettingException;
import takewright.name.NoteNames;
import takewright.sheet.cell.CellName;
import takewright.sheet.decision.Correction;
import takewright.sheet.decision.FadeTimes;
import takewright.sheet.decision.Fix;
import takewright.sheet.decision.LoopChoice;
import takewright.sheet.decision.Verdict;
import takewright.sheet.read.yaml.Fields;
import takewright.sheet.read.yaml.Key;
import takewright.sheet.read.yaml.Section;

/** Reads a person's corrections of single regions. */
final class FixReader {
  private static final Key<Double> AT =
      Key.time("at", "A time inside the region, in seconds or minutes and seconds.");
  private static final Key<String> NOTE =
      Key.text(
          "note",
          "With `at`: the note that the region is. Without it: the note of the cell that the region fills.");
  private static final Key<String> DYNAMIC =
      Key.text("dynamic", "The dynamic of the region, or of the cell that it fills.");
  private static final Key<Integer> RR =
      Key.whole(
          "rr", 1, 999, "", null, "The round robin of the region, or of the cell that it fills.");
  private static final Key<Double> START =
      Key.time("start_s", "Where the sample begins in the take; its onset is a lead-in later.");
  private static final Key<Double> END = Key.time("end_s", "Where the sample ends in the take.");
  private static final Key<Double> CENTS =
      Key.number(
          "cents",
          -1200,
          1200,
          "cents",
          null,
          "Added to the measured correction of the pitch; negative lowers.");
  private static final Key<Double> GAIN =
      Key.number("gain_db", -40, 40, "dB", null, "Added to the measured correction of the level.");
  private static final Key<List<Double>> LOOP_AT =
      Key.times("loop_s", "Where the loop begins and ends in the take: [21.25, 22.4].");
  private static final Key<Boolean> LOOP =
      Key.yesOrNo("loop", null, "Whether a loop is looked for.");
  private static final Key<Double> CLEANING =
      Key.number(
          "cleaning_db", 0, 60, "dB", null, "How far the room's noise is lowered; 0 leaves it.");
  private static final Key<Double> FADE_IN =
      Key.number(
          "fade_in_ms", 0, 10_000, "ms", null, "How long the sample fades in from its start.");
  private static final Key<Double> FADE_OUT =
      Key.number("fade_out_ms", 0, 60_000, "ms", null, "How long the sample fades out to its end.");
  private static final Key<List<Optional<Flag>>> ACCEPT =
      Key.words(
          "accept",
          accepted(),
          "Flags that you have checked and found right. With `missing`, the cell stays empty.");
  private static final Key<Boolean> KEEP =
      Key.yesOrNo("keep", null, "Whether it is a sample, whatever it sounds like.");
  private static final Key<Boolean> DROP = Key.yesOrNo("drop", null, "Whether it is left out.");

  private static final Section FIX =
      Section.of(
          "a fix", AT, NOTE, DYNAMIC, RR, START, END, CENTS, GAIN, LOOP_AT, LOOP, CLEANING, FADE_IN,
          FADE_OUT, ACCEPT, KEEP, DROP);

  /** Of a take. */
  static final Key<List<Fields>> FIXES =
      Key.sectionsIfAny("fixes", FIX, "Corrections of single regions, one item each.");

  private final String file;
  private final NoteNames names;

  /**
   * @param file the name of the file that is read
   * @param names how it spells notes
   */
  FixReader(String file, NoteNames names) {
    this.file = file;
    this.names = names;
  }

  /** The fixes of a take, in their order; those that are wrong are noted and left out. */
  List<Fix> read(Fields take) {
    List<Fix> fixes = new ArrayList<>();
    for (Fields fields : take.get(FIXES)) {
      Fix fix = fix(fields);
      if (fix != null) {
        fixes.add(fix);
      }
    }
    return fixes;
  }

  private Fix fix(Fields fields) {
    CellName cell = new CellName(note(fields), fields.get(DYNAMIC), fields.get(RR));
    List<Optional<Flag>> accepted = fields.get(ACCEPT);
    boolean acceptsMissing = accepted.contains(Optional.<Flag>empty());
    Set<Flag> flags = EnumSet.noneOf(Flag.class);
    accepted.forEach(flag -> flag.ifPresent(flags::add));
    Correction correction =
        new Correction(
            fields.get(START),
            fields.get(END),
            verdict(fields),
            fields.get(CENTS),
            fields.get(GAIN),
            loop(fields),
            fields.get(CLEANING),
            new FadeTimes(fields.get(FADE_IN), fields.get(FADE_OUT)),
            flags);
    if (!isRight(fields, cell, acceptsMissing, correction)) {
      return null;
    }
    Place place = new Place(file, fields.line(), FIXES.name());
    return new Fix(place, fields.get(AT), cell, acceptsMissing, correction);
  }

  private static boolean isRight(
      Fields fields, CellName cell, boolean acceptsMissing, Correction correction) {
    boolean byTime = fields.has(AT);
    boolean byCell = fields.has(NOTE) || fields.has(DYNAMIC) || fields.has(RR);
    boolean corrects = acceptsMissing || !correction.equals(Correction.NONE);
    String fault = null;
    String remedy = null;
    if (!byTime && !byCell) {
      fault = "names no region";
      remedy = "add `at`, a time inside the region, or its `note`, `dynamic` and `rr`";
    } else if (!corrects && (!byTime || !byCell) && hasOnlyRight(fields, cell)) {
      fault = "corrects nothing";
      remedy = "say what to correct, or leave it out";
    } else if (acceptsMissing && byTime) {
      fault = "accepts as missing what is there at a time";
      remedy = "name the cell by its `note`, `dynamic` and `rr` instead of `at`";
    } else if (acceptsMissing && !correction.equals(Correction.NONE)) {
      fault = "corrects a cell that stays empty";
      remedy = "leave out either `missing` or the rest";
    } else if (correction.startS() != null
        && correction.endS() != null
        && correction.endS() <= correction.startS()) {
      fault = "ends before it begins";
      remedy = "correct `start_s` or `end_s`";
    }
    if (fault != null) {
      fields.error(fields.line(), FIXES.name(), "has an item that " + fault, remedy);
    }
    return fault == null;
  }

  /** Where a key is wrong, that is said instead. */
  private static boolean hasOnlyRight(Fields fields, CellName cell) {
    return fields.keys().stream().allMatch(key -> key.equals(AT.name())) || !cell.isAny();
  }

  private Integer note(Fields fields) {
    String note = fields.get(NOTE);
    try {
      return note == null ? null : (Integer) names.parse(note);
    } catch (SettingException e) {
      fields.error(NOTE, e.problem().what(), e.problem().remedy());
      return null;
    }
  }

  private static Verdict verdict(Fields fields) {
    Boolean keep = fields.get(KEEP);
    Boolean drop = fields.get(DROP);
    fields.refuseBoth(KEEP, DROP, "leave one out");
    if (keep == null && drop == null) {
      return null;
    }
    if (Boolean.TRUE.equals(keep)) {
      return Verdict.KEEP;
    }
    return Boolean.TRUE.equals(drop) ? Verdict.DROP : Verdict.AS_HEARD;
  }

  private static LoopChoice loop(Fields fields) {
    fields.refuseBoth(LOOP, LOOP_AT, "leave one out");
    List<Double> at = fields.get(LOOP_AT);
    if (at != null) {
      return new LoopChoice(true, at.get(0), at.get(1));
    }
    Boolean wanted = fields.get(LOOP);
    return wanted == null ? null : wanted ? LoopChoice.FOUND : LoopChoice.NONE;
  }

  /** The words of flags; `missing` is no flag. */
  private static Map<String, Optional<Flag>> accepted() {
    Map<String, Optional<Flag>> words = new LinkedHashMap<>();
    for (Flag flag : Flag.values()) {
      words.put(flag.word(), Optional.of(flag));
    }
    words.put("missing", Optional.empty());
    return words;
  }
}
