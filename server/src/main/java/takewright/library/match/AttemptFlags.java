package takewright.library.match;

import java.util.ArrayList;
import java.util.List;
import java.util.Set;
import java.util.function.IntPredicate;
import takewright.diagnosis.Flag;
import takewright.diagnosis.Flags;
import takewright.segment.Blemishes;
import takewright.segment.Region;

/** Says of each attempt what is wrong with it, once it is settled which are kept. */
final class AttemptFlags {
  /**
   * An attempt that gave way is said to be disturbed from so much more beside it on, in dB times
   * seconds.
   */
  private static final double MIN_DB_S = 0.2;

  private AttemptFlags() {}

  /** The regions with what is wrong with them among their flags, as the matching has chosen. */
  static List<Region> marked(List<Region> regions, Matching matching, int sampleRate) {
    FlawedAlone.Usual usual = FlawedAlone.Usual.of(regions);
    Interruptions interruptions = new Interruptions(regions, sampleRate);
    List<Region> marked = new ArrayList<>();
    for (int i = 0; i < regions.size(); i++) {
      Region region = regions.get(i);
      Set<Flag> flags = region.flags();
      if (!region.rejected() && FlawedAlone.isBegunWrong(region, interruptions.isContinued(i))) {
        flags = Flags.with(flags, Flag.WRONG_START);
      }
      int other = matching.keptInsteadOf(i);
      IntPredicate isPlayed = next -> matching.cells()[next] != Matching.NO_CELL;
      boolean isDisturbed =
          interruptions.isBrokenInto(i, isPlayed)
              || (other >= 0
                  ? interruptions.goesOver(i, isPlayed)
                      || isDisturbedBeside(region, regions.get(other))
                      || Attempts.moreDb(regions, interruptions, i, other) > Attempts.NOISIER_DB
                  : FlawedAlone.isClearlyDisturbed(region, regions, usual));
      if (!region.rejected() && isDisturbed) {
        flags = Flags.with(flags, Flag.DISTURBED);
      }
      marked.add(region.marked(region.rejected(), flags));
    }
    return marked;
  }

  /** Whether more is heard beside an attempt than beside the one that is kept instead. */
  private static boolean isDisturbedBeside(Region region, Region kept) {
    Blemishes.Beside own = region.blemishes().beside();
    Blemishes.Beside other = kept.blemishes().beside();
    return own.dbS() > other.dbS() + MIN_DB_S || Attempts.isKnocked(own);
  }
}
