package takewright.library.take;

import java.util.Set;
import takewright.denoise.DenoiseResult;
import takewright.denoise.room.NoiseProfile;
import takewright.diagnosis.Flag;
import takewright.diagnosis.Flags;
import takewright.sheet.SheetProblem;
import takewright.sheet.Take;

/**
 * What is said of rooms whose level moves. A train moves under every note; that is said once, of
 * the take. A note is flagged where its own room stands out.
 */
public final class RestlessRoom {
  /**
   * A note stands out where its room is in doubt by this many times what is usual in the take: it
   * lies four times as far from what was heard, since the doubt grows with the root of the time.
   */
  private static final double STANDS_OUT = 2;

  private RestlessRoom() {}

  /**
   * The flags of a note that was cleaned.
   *
   * @param room of its take
   */
  public static Set<Flag> flags(DenoiseResult cleaned, NoiseProfile room) {
    Set<Flag> flags = cleaned.flags();
    return flags.contains(Flag.ROOM_MOVES)
            && cleaned.roomUncertaintyDb() <= STANDS_OUT * room.hiddenDoubtDb()
        ? Flags.without(flags, Flag.ROOM_MOVES)
        : flags;
  }

  /**
   * A word on a take that is to be cleaned and whose room moves all the time; null if it does not.
   *
   * @param room of its main microphone; null if nobody was silent
   */
  public static SheetProblem doubt(Take take, NoiseProfile room) {
    if (room == null || room.silent() || take.rules().cleaningDb() == 0) {
      return null;
    }
    return room.isRestless()
        ? SheetProblem.warning(
            take.lines().take(),
            "cleaning",
            String.format(
                "%s: the level of the room moves all the time; under the notes it is known to"
                    + " within %.0f dB only, so cleaning may take too much or too little there",
                take.name(), room.hiddenDoubtDb()),
            "listen to what was taken away from some of its notes; write `cleaning: {amount_db: 12}`"
                + " to clean them less, or play it again while the room is steady")
        : null;
  }
}
