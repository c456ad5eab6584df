package takewright.library;

import java.io.IOException;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.concurrent.BlockingQueue;
import java.util.concurrent.Future;
import java.util.concurrent.LinkedBlockingQueue;
import java.util.function.Predicate;
import takewright.level.Played;
import takewright.library.sample.SampleMaker;
import takewright.library.take.CutTake;
import takewright.library.take.KeptRegion;
import takewright.library.take.LevelsOfTakes;
import takewright.library.take.PickUps;
import takewright.library.take.RestlessRoom;
import takewright.library.take.Stamps;
import takewright.library.take.TakeHeard;
import takewright.sheet.LevelRules;
import takewright.sheet.Sheet;
import takewright.sheet.SheetProblem;
import takewright.sheet.Take;

/**
 * Cuts all takes at once and matches each as soon as it is cut, so that no core waits for the
 * longest take: its regions are measured while others are being cut. What is said of the takes
 * comes in the order of the sheet all the same, pick-ups last.
 */
final class CutAndMatch {
  private final Sheet sheet;
  private final Background background;
  private final BuildReporter reporter;
  private final Stamps stamps;
  private final PickUps pickUps;
  private final Predicate<KeptRegion> isNew;

  /**
   * Of one build.
   *
   * @param pickUps receives the takes, in the order in which they are said
   * @param isNew of which regions no samples are there yet
   */
  CutAndMatch(
      Sheet sheet,
      Background background,
      BuildReporter reporter,
      Stamps stamps,
      PickUps pickUps,
      Predicate<KeptRegion> isNew) {
    this.sheet = sheet;
    this.background = background;
    this.reporter = reporter;
    this.stamps = stamps;
    this.pickUps = pickUps;
    this.isNew = isNew;
  }

  /** Receives each take once it is matched, in the order of the sheet, pick-ups last. */
  interface Receiver {
    void matched(MatchedTake take) throws IOException;
  }

  /**
   * A take that is matched.
   *
   * @param rooms the room of each recorded layer; null for those in which nobody was silent
   * @param measuring the measuring of each region that is kept, which has begun; none where levels
   *     are left alone
   */
  record MatchedTake(
      TakeHeard heard,
      CutTake cut,
      Map<String, CutTake.TakeRoom> rooms,
      Map<KeptRegion, Future<Played>> measuring,
      List<SheetProblem> warnings) {}

  /** A take that is cut, with the room of each of its microphones. */
  private record Heard(TakeHeard take, Map<String, CutTake.TakeRoom> rooms) {}

  /**
   * Cuts and matches the takes.
   *
   * @throws IOException of the first take, in the order in which they are said, that fails
   */
  void apply(List<Take> takes, Receiver receiver) throws IOException {
    Map<Take, Future<Heard>> cutting = new HashMap<>();
    BlockingQueue<Take> cut = new LinkedBlockingQueue<>();
    for (Take take : TakeSizes.longestFirst(takes)) {
      cutting.put(
          take,
          background.submit(
              () -> {
                try {
                  return cut(take);
                } finally {
                  cut.add(take);
                }
              }));
    }
    Map<Take, MatchedTake> matched = new HashMap<>();
    Map<Take, IOException> failed = new HashMap<>();
    for (Take take : PickUps.last(takes)) {
      while (!take.fills().isPickUp() && !matched.containsKey(take) && !failed.containsKey(take)) {
        Take next = background.next(cut);
        if (next.fills().isPickUp()) {
          continue;
        }
        try {
          matched.put(next, match(next, background.result(cutting.get(next))));
        } catch (IOException e) {
          failed.put(next, e);
        }
      }
      if (failed.containsKey(take)) {
        throw failed.get(take);
      }
      // A pick-up is matched last: what it fills is what the others leave.
      MatchedTake next =
          take.fills().isPickUp()
              ? match(take, background.result(cutting.get(take)))
              : matched.remove(take);
      pickUps.add(next.cut());
      receiver.matched(next);
    }
  }

  private Heard cut(Take take) throws IOException {
    stamps.check(take);
    reporter.at(BuildStep.SEGMENT, take);
    TakeHeard found = CutTake.cut(sheet, take, background::isCancelled);
    Map<String, CutTake.TakeRoom> rooms =
        CutTake.rooms(take, found.segmentation(), sheet.recorded(take));
    reporter.cut(take);
    return new Heard(found, rooms);
  }

  private MatchedTake match(Take take, Heard heard) throws IOException {
    reporter.at(BuildStep.MATCH, take);
    List<SheetProblem> warnings = new ArrayList<>();
    CutTake cut = CutTake.match(sheet, take, heard.take().segmentation(), pickUps, warnings);
    CutTake.TakeRoom room = heard.rooms().get(sheet.recorded(take).get(0).name());
    SheetProblem restless = RestlessRoom.doubt(take, room == null ? null : room.profile());
    if (restless != null) {
      warnings.add(restless);
    }
    Map<KeptRegion, Future<Played>> measuring = new LinkedHashMap<>();
    if (take.rules().levels().gain() != LevelRules.GainPlace.OFF) {
      for (KeptRegion kept : cut.kept()) {
        measuring.put(kept, background.submit(() -> LevelsOfTakes.measure(kept, heard.rooms())));
      }
    }
    // Samples wait for the last take, since its levels count for all; their pitches need not.
    for (KeptRegion kept : cut.kept()) {
      if (isNew.test(kept)) {
        background.submit(() -> SampleMaker.hear(sheet, kept));
      }
    }
    return new MatchedTake(heard.take(), cut, heard.rooms(), measuring, warnings);
  }
}
