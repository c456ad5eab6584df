package takewright.segment;

import takewright.diagnosis.Flag;
import takewright.dsp.Decibels;
import takewright.pitch.Kind;
import takewright.pitch.PitchTrack;
import takewright.segment.onset.Onset;
import takewright.segment.onset.StrokeEdge;
import takewright.segment.room.Columns;
import takewright.segment.room.Room;

/** Where a region starts: the column that its sound is traced back to, and its onset in frames. */
final class RegionStart {
  /** How far before the column that shows a sound its quiet start may lie, in seconds. */
  static final double BEFORE_S = 0.3;

  /** Samples before a region's first column that the onset is given, in seconds. */
  private static final double AROUND_S = 1;

  /**
   * Samples that the onset is given after the one at which the sound is there for certain, in
   * seconds: a slow attack has reached its peak's hundredth by then.
   */
  private static final double AFTER_S = 1.2;

  /**
   * How far behind a region's first sound its note may begin, in seconds: a train rattled for 1.1
   * to 1.3 s up to the soft attacks of three bowed notes, which then began with it (2026-11-30).
   */
  private static final double RATTLE_S = 2.5;

  /** Share of the samples before the region, from their start, that is taken for room tone. */
  private static final double QUIET_SHARE = 0.7;

  /** Samples before a note's first column where the one before still rings, in seconds. */
  private static final double RINGS_S = 0.25;

  /** What is this much stronger than just before a note has ended there, as a ratio (10 dB). */
  private static final double ENDED = 10;

  /** This many columns before the column that first shows a note, the note is not heard yet. */
  private static final int QUIET_BEFORE = 3;

  /** The attack is compared with at least this many columns before that one. */
  private static final int LEAST_BEFORE = 6;

  /** What still sounds is heard so far above the room, as a power ratio: 6 dB. */
  private static final double RINGS = 4;

  /** A tail cut so far below the note, as a power ratio, is no loss that anybody hears: -30 dB. */
  private static final double CUT = Decibels.toPower(-30);

  /**
   * A note hides what rings so far below its attack, as a power ratio: -25 dB, about as far as a
   * tone masks noise (14.5 dB and one for each critical band below it; Johnston 1988, from memory).
   */
  private static final double MASKED = Decibels.toPower(-25);

  /** An attack has come to its loudest within this, in seconds. */
  private static final double ATTACK_S = 0.1;

  private final SegmentSettings settings;
  private final Columns columns;
  private final Room room;
  private final Evidence evidence;
  private final RoomTone tone;
  private final int sampleRate;
  private final int hop;

  RegionStart(
      SegmentSettings settings, Columns columns, Room room, Evidence evidence, RoomTone tone) {
    this.settings = settings;
    this.columns = columns;
    this.room = room;
    this.evidence = evidence;
    this.tone = tone;
    sampleRate = columns.sampleRate();
    hop = columns.hop();
  }

  /**
   * A region that opens after a pause.
   *
   * @param column shows its sound
   * @param earliest column at which it may have begun
   * @param free frame from which on it may begin
   * @param lastHeard frame up to which the one before was heard
   * @param isMarked whether a person marked it, so that the one before may ring up to it
   */
  OpenRegion open(long column, long earliest, long free, long lastHeard, boolean isMarked) {
    OpenRegion seen = new OpenRegion(columns, column, column, column * hop, 0);
    seen.begin(room, column);
    // A quiet start lies before the column that passed the higher threshold.
    long first = column;
    while (first > earliest
        && first * hop > free
        && column - first < columns.columnsOf(BEFORE_S)
        && evidence.stays(first - 1, seen)) {
      first--;
    }
    long from = Math.max(lastHeard, first * hop - (long) (AROUND_S * sampleRate));
    if (isMarked) {
      // Where the one before rings up to this one, its ring is the room to compare with.
      from = Math.max(0, Math.min(from, first * hop - (long) (RINGS_S * sampleRate)));
    }
    OpenRegion region = new OpenRegion(columns, first, column, from, RATTLE_S);
    region.begin(room, column);
    return region;
  }

  /** A region that opens at a column while the one before still sounds; its onset is known. */
  OpenRegion next(long column, OpenRegion open) {
    double rings = columns.min(column - 5, column - 2);
    boolean isHeard = rings > RINGS * room.total();
    long from = Math.max(0, column * hop - (long) (RINGS_S * sampleRate));
    if (!isHeard) {
      from = Math.max(from, stillThere(column) * hop - hop / 2);
    }
    OpenRegion next = new OpenRegion(columns, column, column, from, RATTLE_S);
    next.begin(room, column);
    int quiet = quiet(next);
    next.onset = from + (isHeard ? onsetUnderRing(next, quiet) : onsetBehind(next, quiet, 0));
    PitchTrack.Summary ringing = open.heard(tone.power()).summary(tone.power());
    next.followsNote = ringing.share() >= UnderRing.MIN_SHARE;
    next.isRungInto = isHeard && next.followsNote;
    if (next.isRungInto) {
      double last = open.pitch.heldBefore((column - QUIET_BEFORE) * hop);
      next.underRing = new UnderRing(UnderRing.heardLast(ringing.frequencyHz(), last));
    }
    if (isHeard && rings > CUT * open.mostPower()) {
      open.flags.add(Flag.RINGS_ON);
    }
    long attack = Math.min(columns.end() - 1, column + columns.columnsOf(ATTACK_S));
    if (isHeard && rings > MASKED * columns.max(column, attack)) {
      next.flags.add(Flag.IN_TAIL);
    }
    return next;
  }

  /** Where a note is struck while another sounds, or where it sets in if it is not struck. */
  private int onsetUnderRing(OpenRegion next, int quiet) {
    int anchor = next.anchor();
    float[] around = next.around(anchor, 2 * hop);
    int edge =
        StrokeEdge.find(around, quiet - hop, anchor + hop, sampleRate, StrokeEdge.SPRINGS_UP);
    return edge >= 0 ? edge : onsetBehind(next, quiet, quiet);
  }

  /**
   * Where a note sets in behind another, which is the room for it where it still rings.
   *
   * @param earliest index before which it does not
   */
  private int onsetBehind(OpenRegion next, int quiet, int earliest) {
    float peak = next.peakWithin((int) (AFTER_S * sampleRate));
    Onset.WholeSound sound = new Onset.WholeSound(peak, 0);
    return (int) Math.max(find(next, quiet, next.anchor(), sound).frame(), earliest);
  }

  /**
   * The first column from which on what is there up to a note is as strong as just before it: what
   * had ended by then hides nothing of its attack.
   */
  private long stillThere(long column) {
    long earliest = Math.max(0, column - columns.columnsOf(RINGS_S));
    long first = Math.max(earliest, column - LEAST_BEFORE);
    double least = columns.min(first, column - QUIET_BEFORE);
    while (first > earliest && columns.power(first - 1) < ENDED * least) {
      first--;
      least = Math.min(least, columns.power(first));
    }
    return first;
  }

  /**
   * Frame at which the body of a region sets in that opened while something else was heard; 0 where
   * its first column is part of it.
   */
  private long bodyOnset(OpenRegion region, Onset.WholeSound sound) {
    int anchor = region.bodyAnchor(tone.power());
    if (anchor == region.anchor()) {
      return 0;
    }
    return region.aroundStart + find(region, quiet(region), anchor, sound).frame();
  }

  /** Samples before such a region that its onset is compared with. */
  private int quiet(OpenRegion region) {
    return (int) (region.firstColumn * hop - 2L * hop - region.aroundStart);
  }

  /**
   * First frame of a region: its lead-in before the onset, and what of the sound may hide before
   * that, but not before the last one's end.
   */
  long withLeadIn(Onset.Found onset, long lastEnd) {
    long leadIn = Math.round(settings.leadInMs() / 1000 * sampleRate);
    return Math.max(lastEnd, Math.max(0, onset.frame() - onset.hidden() - leadIn));
  }

  /** Where a region's sound sets in, not before the last one's end. */
  Onset.Found onset(OpenRegion region, long lastEnd) {
    PitchTrack.Summary pitch = region.heard(tone.power()).summary(tone.power());
    boolean isNote = pitch.share() >= UnderRing.MIN_SHARE;
    Onset.WholeSound sound = new Onset.WholeSound(region.peak(), isNote ? pitch.frequencyHz() : 0);
    if (region.onset >= 0) {
      // A word ends the note that it breaks into where it is first heard.
      boolean isApart = !region.followsNote || isNote && !region.isRungInto;
      long traced = isApart ? Math.max(region.onset, bodyOnset(region, sound)) : region.onset;
      // The note before may turn out to begin, and so to end, later than this one was heard to.
      return new Onset.Found(Math.max(lastEnd, traced), 0);
    }
    long before = region.firstColumn * hop - region.aroundStart;
    int quiet = (int) (QUIET_SHARE * Math.max(0, before));
    boolean isOne = settings.kind() == Kind.PITCHED || settings.kind() == Kind.UNPITCHED;
    int seen = isOne ? region.bodyAnchor(tone.power()) : region.anchor();
    // Where the take breaks off, the sound is there up to its last frame.
    int anchor = (int) Math.min(seen, columns.frames() - 1 - region.aroundStart);
    return find(region, Math.min(quiet, anchor), anchor, sound)
        .after(region.aroundStart)
        .notBefore(lastEnd);
  }

  private Onset.Found find(OpenRegion region, int quiet, int anchor, Onset.WholeSound sound) {
    float[] around = region.around(anchor, (int) (AFTER_S * sampleRate));
    return Onset.find(around, quiet, anchor, sound, sampleRate, region.spread());
  }
}
