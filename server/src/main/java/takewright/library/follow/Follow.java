package takewright.library.follow;

import java.util.ArrayList;
import java.util.HashMap;
import java.util.HashSet;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import takewright.diagnosis.Flag;
import takewright.diagnosis.Flags;
import takewright.diagnosis.SettingException;
import takewright.library.match.Matching;
import takewright.library.match.OtherPlan;
import takewright.library.match.PlanSearch;
import takewright.library.match.TakeAlignment;
import takewright.library.take.CutTake;
import takewright.pitch.PlannedPitch;
import takewright.segment.LiveSegment;
import takewright.segment.LiveSegment.HeardRegion;
import takewright.segment.Region;
import takewright.sheet.Sheet;
import takewright.sheet.SheetProblem;
import takewright.sheet.Take;
import takewright.sheet.cell.Cell;
import takewright.sheet.cell.CellStatus;
import takewright.sheet.decision.Verdict;

/**
 * Follows a take while it is recorded, and reports which cells of the sheet are filled and which
 * are still missing.
 *
 * <p>After each sound all that was heard so far is matched with the cells again, as a build would,
 * so that a later note may still change what an earlier one is. Once the take is over the table is
 * the build's own, but for the sheet's words on times to keep and to drop, which were said of an
 * earlier recording.
 */
public final class Follow {
  /** Closer to the room than this, in dB, cleaning becomes audible. Common practice. */
  private static final double NOISY_DB = 20;

  /**
   * Maximum of sounds times cells: beyond it, a match takes 100 MB and a quarter second. A thousand
   * cells may be played twice.
   */
  private static final long MAX_PAIRS = 2_000_000;

  /**
   * Where fewer of its windows agree on a pitch, the first ear may be wrong about a note: of 899 in
   * 43 takes the second took back three of ten, and one of the others (2026-11-29).
   */
  private static final double SURE_SHARE = 0.6;

  /** One match at a time, since each may briefly take that much memory. */
  private static final Object MATCHING = new Object();

  /**
   * A sound, and what became of it.
   *
   * @param number from 1, in the order first heard; it stays
   * @param region what is heard
   * @param cell what it fills, or null
   * @param status {@code MISSING} where it is taken back: there was no such sound after all. Its
   *     judgement stays where that is known too late to be said
   * @param isSettled whether where it lies and what it sounds like is final; what it fills is not
   *     before the take has ended
   * @param flags what to look at
   * @param judgement what to make of it, as it was first said or once corrected
   */
  public record Note(
      int number,
      Region region,
      Cell cell,
      CellStatus status,
      boolean isSettled,
      Set<Flag> flags,
      Judgement judgement) {
    public Note {
      flags = Flags.copyOf(flags);
    }

    /**
     * What to make of it as the sound that fills its cell, though it was said to be no note for it.
     */
    public Judgement inItsCell() {
      boolean isForACell = judgement != Judgement.EXTRA && judgement != Judgement.LEFT_OUT;
      return isForACell ? judgement : Judgement.ofSound(flags);
    }
  }

  private final Sheet sheet;
  private final Take take;
  private final List<Cell> cells;
  private final int sampleRate;
  private final LiveSegment live;
  private final Map<Integer, Verdict> verdicts = new HashMap<>();
  private final Set<Cell> skipped = new HashSet<>();
  private final ToldJudgements told;

  /** Numbers of sounds that the first ear doubted: as more of them is heard, it may forget why. */
  private final Set<Integer> doubted = new HashSet<>();

  private final ToldNotes notes;
  private List<Cell> missing;
  private int version;

  private List<Region> heardRegions = List.of();
  private Matching matched;
  private boolean isOver;

  /**
   * Begins with a take of a sheet.
   *
   * @throws IllegalArgumentException if it asks for too many cells
   */
  public Follow(Sheet sheet, Take take, int sampleRate, int channels) {
    this.sheet = sheet;
    this.take = take;
    this.sampleRate = sampleRate;
    cells = sheet.cells(take);
    if (cells.size() > maxCells()) {
      throw new SettingException(
          "take",
          "holds " + cells.size() + " cells, and " + maxCells() + " can be followed",
          "split it in the sheet");
    }
    missing = cells;
    told = new ToldJudgements(sampleRate);
    notes = new ToldNotes(told);
    PlannedPitch planned = CutTake.planned(sheet, cells, sampleRate);
    live = new LiveSegment(sampleRate, channels, CutTake.settings(sheet, take), planned);
  }

  private static int maxCells() {
    return (int) Math.sqrt(MAX_PAIRS);
  }

  /** Processes frames, and returns the notes that are new or have changed. */
  public List<Note> push(float[][] channels, int count) {
    live.push(channels, count);
    return live.version() == version ? List.of() : update(false);
  }

  /** Ends the take, and returns the notes that changed. */
  public List<Note> finish() {
    live.finish();
    return update(true);
  }

  /**
   * A person's word on a note: it is one whatever it sounds like, or it is none; returns the notes
   * that changed. It holds for as long as the note keeps its number.
   */
  public List<Note> decide(int number, Verdict verdict) {
    if (verdict == Verdict.AS_HEARD) {
      verdicts.remove(number);
    } else {
      verdicts.put(number, verdict);
    }
    return update(false);
  }

  /** A person's word on a cell: whether it stays empty. */
  public void skip(Cell cell, boolean isSkipped) {
    if (isSkipped) {
      skipped.add(cell);
    } else {
      skipped.remove(cell);
    }
  }

  /** Cells that stay empty. */
  public Set<Cell> skipped() {
    return Set.copyOf(skipped);
  }

  /**
   * The cell to play next: the first that is missing from where the player is on, else the first
   * that is missing; null if none is.
   */
  public Cell next() {
    int at = 0;
    for (Note note : notes.all()) {
      if (note.cell() != null) {
        at = cells.indexOf(note.cell());
      }
    }
    Cell first = null;
    for (Cell cell : missing()) {
      if (cells.indexOf(cell) >= at) {
        return cell;
      }
      first = first == null ? cell : first;
    }
    return first;
  }

  /** The cells of the take, in the order in which they are played. */
  public List<Cell> cells() {
    return cells;
  }

  /** Level of the room so far, RMS in dBFS. */
  public double roomToneDbfs() {
    return live.roomToneDbfs();
  }

  /** All notes of which something is said, in the order of the take. */
  public List<Note> notes() {
    return notes.inOrder();
  }

  /** The missing cells that are not skipped, in the order of the sheet. */
  public List<Cell> missing() {
    return skipped.isEmpty()
        ? missing
        : missing.stream().filter(cell -> !skipped.contains(cell)).toList();
  }

  /** Cells of the take. */
  public int cellCount() {
    return cells.size();
  }

  /** Frames processed. */
  public long frames() {
    return live.frames();
  }

  /** What was processed, in seconds. */
  public double seconds() {
    return (double) live.frames() / sampleRate;
  }

  /** Whether the take has become too long to match, so that it should continue in a new session. */
  public boolean isFull() {
    return (long) live.heard().size() * cells.size() > MAX_PAIRS;
  }

  private List<Note> update(boolean isOverNow) {
    isOver = isOverNow;
    version = live.version();
    List<HeardRegion> heard = live.heard();
    Map<Long, HeardRegion> byStart = new HashMap<>();
    List<Region> regions = new ArrayList<>();
    for (HeardRegion one : heard) {
      byStart.put(one.region().start(), one);
      regions.add(decided(one));
    }
    regions = CutTake.joined(take, regions, sampleRate, isOver);
    Matching matching;
    synchronized (MATCHING) {
      matching = TakeAlignment.match(regions, cells, sampleRate, isOver);
    }
    heardRegions = regions;
    matched = matching;
    List<Region> matchedRegions = regions;
    FlagsSoFar flags =
        new FlagsSoFar(
            take,
            regions,
            cells,
            matching,
            i -> isEarly(byStart.get(matchedRegions.get(i).start())),
            sampleRate);
    List<Note> now = new ArrayList<>();
    StandOut standOut = new StandOut();
    for (int i = 0; i < regions.size(); i++) {
      HeardRegion one = byStart.get(regions.get(i).start());
      if (flags.isUsed(i) && standOut.isUnlikeOthers(regions.get(i), one.brief())) {
        flags.add(i, Flag.DISTURBED);
      }
      CellStatus status = flags.status(i);
      if (isUnclear(one, status, flags.of(i)) || isTooLate(one, status)) {
        continue;
      }
      int cell = matching.cells()[i];
      Note note =
          note(
              one,
              regions.get(i),
              cell == Matching.NO_CELL ? null : cells.get(cell),
              matching.statuses().get(i),
              said(status, flags.isSofterThanUsed(i)),
              flags.of(i));
      now.add(note);
      boolean isGood = note.judgement() == Judgement.GOOD;
      if (isGood || flags.isUsed(i)) {
        standOut.add(regions.get(i), one.brief(), isGood);
      }
    }
    missing = matching.missing().stream().map(cells::get).toList();
    return notes.update(now, frames(), isOver);
  }

  /**
   * The plan that what was heard so far fits much better than the sheet, as a warning with the line
   * of the sheet to change; empty if there is none. Nothing is missing before the take has ended.
   */
  public Optional<SheetProblem> otherPlan() {
    if (matched == null) {
      return Optional.empty();
    }
    OtherPlan plan = PlanSearch.find(sheet, take, heardRegions, matched, sampleRate, isOver);
    return plan == null
        ? Optional.empty()
        : Optional.of(OtherPlan.problems(sheet, List.of(plan), 1).get(0));
  }

  /** Whether nothing is said yet of a sound that the first ear alone has heard. */
  private boolean isEarly(HeardRegion one) {
    return one.ear() == LiveSegment.Ear.QUICK && !notes.contains(one.number());
  }

  /**
   * Whether a doubt may yet turn out to be wrong. The first ear takes a slow attack, or a stir of
   * the room before one, for a knock; and it takes what follows a note for a part of it. Nor is it
   * sure of a note of which few windows agree, or of how long a short one is. Nothing is said of
   * such a sound until the second ear has heard it.
   */
  private boolean isUnclear(HeardRegion one, CellStatus status, Set<Flag> flags) {
    if (one.ear() != LiveSegment.Ear.QUICK
        || verdicts.containsKey(one.number())
        || notes.contains(one.number())) {
      return false;
    }
    boolean isGood = Judgement.of(status, flags) == Judgement.GOOD;
    if (!isGood) {
      doubted.add(one.number());
    }
    return one.region().confidence() < SURE_SHARE || doubted.contains(one.number());
  }

  /**
   * Whether the last ear alone has heard a sound, too late for a word on it. What fills a cell is
   * told all the same, and the rest once the take is over.
   */
  boolean isTooLate(HeardRegion one, CellStatus status) {
    return !isOver
        && status != CellStatus.KEPT
        && !notes.contains(one.number())
        && !told.isInTime(one.region().end(), frames());
  }

  private Region decided(HeardRegion one) {
    Region region = one.region();
    Verdict verdict = verdicts.get(one.number());
    if (verdict == null) {
      return region;
    }
    boolean isDropped = verdict == Verdict.DROP;
    Flag flag = isDropped ? Flag.DROPPED : Flag.FORCED;
    return region.marked(isDropped, Flags.with(region.flags(), flag));
  }

  private Note note(
      HeardRegion one,
      Region region,
      Cell cell,
      CellStatus status,
      CellStatus said,
      Set<Flag> found) {
    boolean isNoisy = !region.rejected() && region.levelDbfs() - live.roomToneDbfs() < NOISY_DB;
    Set<Flag> all = isNoisy ? Flags.with(found, Flag.NOISY) : found;
    Set<Flag> flags = ToldJudgements.known(all, one.ear());
    // A person's word holds at once and whenever it is said.
    Judgement judgement =
        verdicts.containsKey(one.number())
            ? Judgement.of(status, flags)
            : told.say(
                one.number(), region.end(), said, flags, one.region().flags(), one.ear(), frames());
    return new Note(one.number(), region, cell, status, one.isSettled(), flags, judgement);
  }

  /**
   * What is said to have become of a sound. What the sheet does not ask for and is softer than
   * every note is none: of 53 such sounds in 81 takes 50 were knocks, words and stirs of the room,
   * of 22 that were louder three (2026-12-01).
   */
  static CellStatus said(CellStatus status, boolean isSofterThanNotes) {
    return status == CellStatus.EXTRA && isSofterThanNotes ? CellStatus.REJECTED : status;
  }
}
