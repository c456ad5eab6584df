package takewright.segment;

import java.util.Set;
import takewright.diagnosis.Flag;
import takewright.diagnosis.Flags;
import takewright.dsp.Cents;
import takewright.pitch.Kind;
import takewright.pitch.Pitch;
import takewright.pitch.PlannedPitch;

/**
 * A stretch of a take that holds one sound.
 *
 * @param start first frame, before the onset by the lead-in
 * @param onset frame at which the sound sets in
 * @param end first frame after the region
 * @param kind how to treat it
 * @param pitch what is heard, or null if no pitch was found
 * @param confidence how sure it is that this is one sound of the instrument, 0 to 1
 * @param rejected whether it is no sound of the instrument; {@code flags} then say why
 * @param flags why it was rejected, or what to look at
 * @param peakDbfs loudest sample in dBFS
 * @param levelDbfs RMS of the loudest half second in dBFS
 * @param blemishes what went wrong in it
 * @param guess the pitch that most of a rejected sound speaks for, though too little of it for a
 *     note; null where there is none
 */
public record Region(
    long start,
    long onset,
    long end,
    Kind kind,
    Pitch pitch,
    double confidence,
    boolean rejected,
    Set<Flag> flags,
    double peakDbfs,
    double levelDbfs,
    Blemishes blemishes,
    Pitch guess) {
  /** Flags of a sound in which too few windows agree on a pitch. */
  private static final Set<Flag> PITCHLESS = Flags.of(Flag.NO_PITCH, Flag.TALK);

  /** Where fewer of a note's windows agree on its pitch, another may be meant. */
  private static final double SURE_SHARE = 0.5;

  /** Another note is this far off, in cents. */
  private static final double OTHER_CENTS = 50;

  public Region {
    flags = Flags.copyOf(flags);
  }

  /** A region in which nothing is heard to be wrong. */
  public Region(
      long start,
      long onset,
      long end,
      Kind kind,
      Pitch pitch,
      double confidence,
      boolean rejected,
      Set<Flag> flags,
      double peakDbfs,
      double levelDbfs) {
    this(
        start,
        onset,
        end,
        kind,
        pitch,
        confidence,
        rejected,
        flags,
        peakDbfs,
        levelDbfs,
        Blemishes.NONE,
        null);
  }

  /** Frames for which it is heard: from its onset, without the tail that is only supposed. */
  public long heardFrames() {
    return end - onset - blemishes.ending().hiddenFrames();
  }

  /** This region with other flags, rejected or not. */
  public Region marked(boolean isRejected, Set<Flag> otherFlags) {
    return new Region(
        start,
        onset,
        end,
        kind,
        pitch,
        confidence,
        isRejected,
        otherFlags,
        peakDbfs,
        levelDbfs,
        blemishes,
        guess);
  }

  /** This region with other blemishes. */
  Region with(Blemishes others) {
    return new Region(
        start,
        onset,
        end,
        kind,
        pitch,
        confidence,
        rejected,
        flags,
        peakDbfs,
        levelDbfs,
        others,
        guess);
  }

  /** Whether it may be one of the low notes that are planned, though its pitch is not sure. */
  public boolean mayBe(PlannedPitch planned) {
    return isPitchUnsure() && planned.isFor(heardFrames());
  }

  /**
   * Whether too few of its windows agree on a pitch: a low note that is soon over has few. One that
   * another rings into has few as well, and both together the period of a lower one.
   */
  private boolean isPitchUnsure() {
    if (kind != Kind.PITCHED) {
      return false;
    }
    return pitch == null
        ? guess != null && PITCHLESS.containsAll(flags)
        : confidence < SURE_SHARE && !rejected && !flags.contains(Flag.IN_TAIL);
  }

  /** This region as the note that it must be; as it is where that is null, or what is heard. */
  public Region named(Pitch note) {
    if (note == null || pitch != null && isNear(note)) {
      return this;
    }
    return new Region(
        start,
        onset,
        end,
        kind,
        note,
        note.confidence(),
        false,
        Flags.without(flags, PITCHLESS),
        peakDbfs,
        levelDbfs,
        blemishes,
        null);
  }

  private boolean isNear(Pitch note) {
    return Cents.apart(note.frequencyHz(), pitch.frequencyHz()) < OTHER_CENTS;
  }

  /** This region, whose frames are counted from a point that lies this much earlier. */
  Region later(long by) {
    return new Region(
        start + by,
        onset + by,
        end + by,
        kind,
        pitch,
        confidence,
        rejected,
        flags,
        peakDbfs,
        levelDbfs,
        blemishes.at(blemishes.places().later(by)),
        guess);
  }

  /** Whether two regions share any frame. */
  boolean overlaps(Region other) {
    return sharedFrames(other) > 0;
  }

  /** Frames that two regions share, 0 or less if none; a knock before a note may reach into it. */
  long sharedFrames(Region other) {
    return Math.min(end, other.end) - Math.max(start, other.start);
  }

  /** This region with another end. */
  public Region until(long otherEnd) {
    return new Region(
        start,
        onset,
        otherEnd,
        kind,
        pitch,
        confidence,
        rejected,
        flags,
        peakDbfs,
        levelDbfs,
        blemishes,
        guess);
  }
}
