package takewright.library.follow;

import java.util.HashMap;
import java.util.Map;
import java.util.Set;
import takewright.diagnosis.Flag;
import takewright.diagnosis.Flags;
import takewright.segment.LiveSegment.Ear;
import takewright.sheet.cell.CellStatus;

/**
 * What has been said of each note, so that it holds: a judgement is corrected once at most, and
 * within 20 s of the end of the note. Later the player has gone on, and has done what was asked.
 *
 * <p>That another attempt fills the cell of a note, or that the note seems to belong to no cell
 * while the levels of the dynamics are still being learnt, is no news of how the note sounds: its
 * status says so. Its judgement stays or gets worse: the other attempt may show what is wrong with
 * it, but an attempt that is not used is compared with fewer notes, so that fewer flags clear
 * nothing.
 */
final class ToldJudgements {
  /** Time for a correction, in seconds. */
  static final double CORRECTED_WITHIN_S = 20;

  /** Say how long the pauses are, which only the last ear knows. */
  private static final Set<Flag> OF_PAUSES = Flags.of(Flag.RINGS_ON, Flag.IN_TAIL);

  private static final class Told {
    final long end;
    final boolean isForACell;
    Judgement judgement;
    boolean isCorrected;

    Told(long end, Judgement judgement) {
      this.end = end;
      this.judgement = judgement;
      isForACell = judgement != Judgement.EXTRA && judgement != Judgement.LEFT_OUT;
    }
  }

  private final Map<Integer, Told> notes = new HashMap<>();
  private final long withinFrames;

  ToldJudgements(int sampleRate) {
    withinFrames = (long) (CORRECTED_WITHIN_S * sampleRate);
  }

  /**
   * What an ear knows to be wrong with a note, of all that it has heard: all but the last cannot
   * tell a short pause from a note that rings on.
   */
  static Set<Flag> known(Set<Flag> all, Ear ear) {
    return ear == Ear.SURE ? all : Flags.without(all, OF_PAUSES);
  }

  /**
   * Whether a sound may still be corrected, or said to be anything for the first time.
   *
   * @param end first frame after it, as it was first heard
   * @param frame frames heard so far
   */
  boolean isInTime(long end, long frame) {
    return frame - end <= withinFrames;
  }

  /**
   * What to say of a note that is heard no longer: left out, if that may still be said.
   *
   * @param number of the note
   * @param frame frames heard so far
   */
  Judgement takeBack(int number, long frame) {
    Told told = notes.get(number);
    if (told == null) {
      return Judgement.LEFT_OUT; // a person's word was all that was said of it
    }
    correct(told, Judgement.LEFT_OUT, frame);
    return told.judgement;
  }

  /**
   * What to say of a note now.
   *
   * @param number of the note
   * @param end first frame after it, which counts as it was first heard
   * @param status what became of it
   * @param flags what is {@link #known} to be wrong with it
   * @param heard those of them that an ear heard in the note itself, beside no other
   * @param ear which heard it so: the first does not know where the note ends, so that nothing is
   *     corrected for it
   * @param frame frames heard so far
   */
  Judgement say(
      int number,
      long end,
      CellStatus status,
      Set<Flag> flags,
      Set<Flag> heard,
      Ear ear,
      long frame) {
    Told told = notes.computeIfAbsent(number, n -> new Told(end, Judgement.of(status, flags)));
    boolean isUnused = status == CellStatus.RETAKE || status == CellStatus.EXTRA;
    boolean isNews = isUnused || heard.contains(Flag.DISTURBED);
    Set<Flag> found = told.judgement == Judgement.GOOD ? asNews(flags, isNews) : flags;
    Judgement now =
        isUnused && told.isForACell
            ? told.judgement.orWorse(Judgement.ofSound(found))
            : Judgement.of(status, found);
    if (ear != Ear.QUICK) {
      correct(told, now, frame);
    }
    return told.judgement;
  }

  private void correct(Told told, Judgement now, long frame) {
    if (now != told.judgement && !told.isCorrected && isInTime(told.end, frame)) {
      told.judgement = now;
      told.isCorrected = true;
    }
  }

  /**
   * The flags that may correct a note that was said to be good. An odd length never does: how long
   * notes are is learnt as they come. A disturbance does only if an ear heard a word set in over
   * the note, or where another attempt is used: what a later ear hears beside a note is mostly what
   * follows it.
   */
  private static Set<Flag> asNews(Set<Flag> flags, boolean isDisturbanceNews) {
    Set<Flag> news = Flags.without(flags, Flag.ODD_LENGTH);
    return isDisturbanceNews ? news : Flags.without(news, Flag.DISTURBED);
  }
}
