package takewright.segment;

import java.util.function.Consumer;
import takewright.pitch.Kind;
import takewright.pitch.PitchDetector;
import takewright.segment.ahead.Ahead;
import takewright.segment.onset.Onset;
import takewright.segment.room.Columns;
import takewright.segment.room.Room;
import takewright.segment.room.RoomCourse;
import takewright.segment.room.RoomModel;
import takewright.segment.room.TakeBlock;

/**
 * Cuts one take while it is read: samples go in, regions come out, and what is kept in between is
 * bounded, whatever the take's length.
 *
 * <p>The way of the sound: samples, columns of band power, the room around each column, two
 * thresholds over it (one to start a region, a lower one to stay in it), the onset to the
 * millisecond, and what kind of sound it was.
 */
final class Segmenter {
  /** How far ahead of a decision the room is looked for, in seconds: over a long note's end. */
  private static final double AHEAD_S = 20;

  /** How far back it is looked for, in seconds: over the last few gaps between notes. */
  private static final double BACK_S = 60;

  /** Columns from one time that the room is learnt to the next (half a second). */
  private static final int LEARN_COLUMNS = 24;

  /** What opened a region tells nothing of what follows so much later, in seconds. */
  private static final double PAUSE_S = 0.15;

  /** A thud of the room is over after so many columns (64 ms). */
  private static final int THUD_COLUMNS = 3;

  /**
   * The same where a player waits: as far as it takes to hear that another note begins in one that
   * has not ended. A region opened while the room is not known yet would be the room itself.
   */
  private static final double SOON_S = 1;

  /** Columns that a decision waits for where a player does: the second of a sound's start. */
  private static final int LIVE_AHEAD = 1;

  /**
   * Quiet after which a sound is said to be over where a player waits, in seconds: the notes of no
   * take pause for so short. What is said then may still be corrected.
   */
  private static final double LIVE_QUIET_S = 0.06;

  private final SegmentSettings settings;
  private final int sampleRate;
  private final Consumer<Region> sink;

  /** Hears of each region as soon as it seems over; null if all is decided in its own time. */
  private final Consumer<Region> atOnce;

  /** Whether a player waits, so that nothing is known of the room after a sound. */
  private final boolean isLive;

  /** Where the regions lie, as a person marked them; null where they are to be found. */
  private final MarkedSpans marks;

  private final int hop;
  private final Damage damage;
  private final Columns columns;
  private final RoomModel model;
  private final Room room;
  private final RoomCourse course;
  private final Evidence evidence;
  private final RegionEnd ends;
  private final RoomTone tone;
  private final RegionStart starts;
  private final RegionFacts facts;
  private final NextNote nextNote;
  private final int ahead;

  /** A gap up to this many columns does not split a region. */
  private final long gap;

  private long decided;
  private OpenRegion open;

  /** Where the last region ends, and up to where it was heard. */
  private long lastEnd;

  private long lastHeard;

  Segmenter(int sampleRate, int channels, SegmentSettings settings, Consumer<Region> sink) {
    this(sampleRate, channels, settings, sink, null, null, AHEAD_S);
  }

  /** One that decides a second later, by what was heard of the room before alone. */
  static Segmenter soon(
      int sampleRate, int channels, SegmentSettings settings, Consumer<Region> sink) {
    return new Segmenter(sampleRate, channels, settings, sink, null, null, SOON_S);
  }

  /**
   * One that decides at once, by what is there so far, where {@code atOnce} is given: it hears of
   * each region some 0.2 s after its sound, and again where more of the sound came after all, with
   * the same onset. A note that begins while another rings does not end that one then.
   */
  Segmenter(
      int sampleRate,
      int channels,
      SegmentSettings settings,
      Consumer<Region> sink,
      Consumer<Region> atOnce) {
    this(sampleRate, channels, settings, sink, atOnce, null, SOON_S);
  }

  /** One that measures the regions that a person marked. */
  Segmenter(
      int sampleRate,
      int channels,
      SegmentSettings settings,
      Consumer<Region> sink,
      MarkedSpans marks) {
    this(sampleRate, channels, settings, sink, null, marks, AHEAD_S);
  }

  private Segmenter(
      int sampleRate,
      int channels,
      SegmentSettings settings,
      Consumer<Region> sink,
      Consumer<Region> atOnce,
      MarkedSpans marks,
      double aheadS) {
    this.atOnce = atOnce;
    isLive = aheadS < AHEAD_S;
    this.marks = marks;
    this.settings = settings;
    this.sampleRate = sampleRate;
    this.sink = sink;
    damage = new Damage(channels, sampleRate);
    columns = new Columns(sampleRate, aheadS + 3, aheadS + 1.5);
    hop = columns.hop();
    ahead = atOnce != null ? LIVE_AHEAD : (int) columns.columnsOf(aheadS);
    gap = columns.columnsOf(settings.minGapMs() / 1000);
    PitchDetector detector = new PitchDetector(sampleRate);
    HeldPitch heldPitch = new HeldPitch(columns, detector);
    model =
        new RoomModel(
            columns.bandCount(),
            (int) columns.columnsOf(BACK_S),
            isLive ? LIVE_AHEAD : ahead,
            (int) columns.columnsOf(SOON_S),
            heldPitch::holds);
    room = new Room(columns.bandCount(), settings.onThresholdDb(), settings.offThresholdDb());
    course = new RoomCourse((double) LEARN_COLUMNS * hop / sampleRate);
    evidence = new Evidence(columns, room);
    ends =
        new RegionEnd(
            columns,
            room,
            evidence,
            settings.offThresholdDb() <= SegmentSettings.DEFAULTS.offThresholdDb());
    tone = new RoomTone(sampleRate);
    starts = new RegionStart(settings, columns, room, evidence, tone);
    facts = new RegionFacts(settings, columns, room, evidence, tone, damage, detector);
    nextNote = new NextNote(columns, heldPitch);
  }

  /** Lets another thread do parts of the work. */
  void helpedBy(Ahead help) {
    facts.helpedBy(help);
  }

  /** Takes frames in, in blocks of any size. */
  void push(float[][] channels, int count) {
    push(channels, count, null);
  }

  /** Takes frames in, of a block whose columns are measured if it is not null. */
  void push(float[][] channels, int count, TakeBlock measured) {
    // No more than a column at a time, so that the history never runs over what is undecided.
    for (int done = 0, n; done < count; done += n) {
      n = (int) Math.min(count - done, columns.framesToNext());
      damage.push(channels, done, n);
      if (columns.append(channels, done, n, measured)) {
        learn();
        boolean isEarly = atOnce != null && columns.frames() < SOON_S * sampleRate;
        decide(isEarly ? 0 : columns.end() - ahead);
      }
    }
  }

  /** Ends the take: what is still open is closed. */
  void finish() {
    long frames = columns.frames();
    // Columns centred on the last frames read silence behind them.
    while (columns.end() * hop < frames) {
      columns.measure();
      learn();
    }
    decide(columns.end());
    if (marks != null && marks.current() != null && marks.current().start() < frames) {
      closeMarked(columns.end(), Math.min(frames, marks.limit()));
    } else if (open != null) {
      close(frames);
    }
    tone.lasts(frames);
  }

  private void learn() {
    model.add(columns.latest(), columns.isLive(), columns.prominence());
  }

  /** Decides the columns up to (not including) {@code to}. */
  private void decide(long to) {
    for (; decided < to; decided++) {
      if (decided % LEARN_COLUMNS == 0) {
        if (open != null && !isLive) {
          // What is decided so soon has no other side from which to learn that a fan went on.
          model.sounds(open.firstColumn, decided - 1);
        }
        model.at(decided, room);
        room.learnTotal(room.powerIn(columns.bands()));
        course.add(room.total(), room.startIn(columns.bands()));
      }
      if (marks != null) {
        decideMarked(decided);
      } else if (open == null) {
        if (evidence.starts(decided) && evidence.stays(decided, null)) {
          begin(decided, 0);
        }
      } else if (settings.kind() == Kind.PITCHED
          && nextNote.beginsOnlyNow(decided, open, facts, room)) {
        // The thud before tells nothing of how loud the room is as the note sets in.
        long over = open.strongestBeforeAttack() + THUD_COLUMNS;
        boolean isPause = decided - over > columns.columnsOf(PAUSE_S);
        lastHeard = isPause ? over * hop : lastHeard;
        begin(decided, decided - OpenRegion.ATTACK_COLUMNS);
      } else if (nextNoteBegins(decided)) {
        split(decided);
      } else if (open.fading.isOverBefore(gap)) {
        // What has kept the region open since is no part of its sound, nor is what comes now.
        open.lastColumn = open.fading.lastHeard(decided - 2);
        close((decided - 1 + Evidence.STAY_COLUMNS / 2) * hop);
      } else if (evidence.goesOn(decided, open)) {
        open.lastColumn = decided;
      } else if (decided - open.lastColumn > gap
          && !(settings.kind() == Kind.UNPITCHED && ends.swellsAgain(open, decided))) {
        close(Long.MAX_VALUE);
      }
      if (open != null) {
        facts.add(open, decided);
        tell();
      } else if (marks == null || !evidence.starts(decided)) {
        // A sound that a person left unmarked is no room tone.
        tone.add(columns.power(decided));
      }
    }
  }

  /** Decides a column where a person marked the regions. */
  private void decideMarked(long column) {
    long frame = column * hop;
    while (marks.current() != null && frame >= marks.limit()) {
      closeMarked(column, marks.limit());
    }
    MarkedSpan span = marks.current();
    if (span == null || frame < span.start()) {
      return;
    }
    if (open == null) {
      if (evidence.starts(column) && evidence.stays(column, null)) {
        begin(column, 0);
      }
    } else if (evidence.goesOn(column, open)) {
      open.lastColumn = column;
    } else if (span.end() == null
        && column - open.lastColumn > gap
        && !(settings.kind() == Kind.UNPITCHED && ends.swellsAgain(open, decided))) {
      closeMarked(column, ends.of(open, ends.heard(open, marks.limit()), marks.limit()));
    }
  }

  /** Ends the current marked region, and goes on to the next. */
  private void closeMarked(long column, long end) {
    long start = marks.current().start();
    if (open == null) {
      // Nothing was heard in it, or it is shorter than a column.
      open = new OpenRegion(columns, column, column, Math.max(0, column * hop - hop), 0);
      open.onset = start;
      facts.reset();
      if (column < columns.end()) {
        facts.add(open, column);
      }
    }
    OpenRegion closed = open;
    open = null;
    long heard = Math.max(start + 1, Math.min(end, ends.heard(closed, end)));
    long onset = Math.max(start, Math.min(end - 1, starts.onset(closed, lastEnd).frame()));
    lastHeard = heard;
    model.sounds(closed.firstColumn, closed.lastColumn);
    lastEnd = end;
    tone.sounds(start, end);
    marks.next();
    sink.accept(facts.describe(closed, start, onset, RegionFacts.Extent.of(heard, end)));
  }

  /**
   * Opens a region.
   *
   * @param column shows its sound
   * @param earliest column at which it may have begun
   */
  private void begin(long column, long earliest) {
    long free = marks == null ? lastEnd : marks.current().start();
    open = starts.open(column, earliest, free, lastHeard, marks != null);
    facts.reset();
  }

  /** Says that the open region seems to be over. */
  private void tell() {
    if (atOnce == null) {
      return;
    }
    open.fill();
    if (!open.isHeard()) {
      return;
    }
    // With few columns ahead mere noise passes the threshold itself now and then.
    if (evidence.staysClearly(decided, open)) {
      open.lastLoud = decided;
      open.isTold = false;
    } else if (!open.isTold && decided - open.lastLoud >= columns.columnsOf(LIVE_QUIET_S)) {
      open.isTold = true;
      long heard = ends.heard(open, Long.MAX_VALUE);
      Onset.Found onset = starts.onset(open, lastEnd);
      long end = ends.of(open, heard, Long.MAX_VALUE);
      long start = starts.withLeadIn(onset, lastEnd);
      RegionFacts.Extent extent = RegionFacts.Extent.of(heard, end);
      atOnce.accept(facts.describe(open, start, onset.frame(), extent));
    }
  }

  private boolean nextNoteBegins(long column) {
    Kind kind = settings.kind();
    if (kind == Kind.PHRASE || kind == Kind.GLIDE || kind == Kind.CLUSTER) {
      return false;
    }
    boolean isHit = kind == Kind.UNPITCHED;
    if (!isHit && nextNote.isStruckAgain(column, open, facts, room)) {
      return true;
    }
    return nextNote.begins(column, column - open.firstColumn, open.mostPower(), room, !isHit)
        // A voice changes its pitch and level too, but the part before was no note, or hit.
        && facts.isLikeOurs(open, column);
  }

  /** Ends the open region where the next note begins in it, and opens that one. */
  private void split(long column) {
    OpenRegion next = starts.next(column, open);
    long start = starts.withLeadIn(new Onset.Found(next.onset, 0), lastEnd);
    long first = starts.onset(open, lastEnd).frame();
    if (first >= start) {
      // What opened the region was no note, and this is the first in it.
      begin(column, column - OpenRegion.ATTACK_COLUMNS);
      return;
    }
    if (next.onset - first < NextNote.LEAST_S * sampleRate) {
      // Nobody plays two notes so fast: it is one attack, whose burst came before its tone.
      return;
    }
    close(start);
    facts.reset();
    open = next;
  }

  private void close(long limit) {
    OpenRegion closed = open;
    open = null;
    long heard = ends.heard(closed, limit);
    Onset.Found onset = starts.onset(closed, lastEnd);
    long end = Math.max(onset.frame() + 1, ends.of(closed, heard, limit));
    long start = starts.withLeadIn(onset, lastEnd);
    RegionFacts.Extent extent = facts.extent(closed, onset.frame(), heard, end);
    lastHeard = extent.heard();
    lastEnd = extent.end();
    // What goes on behind a note is no room tone either.
    tone.sounds(start, end);
    if (!closed.isHeard()) {
      model.sounds(closed.firstColumn, closed.lastColumn);
      return;
    }
    Region found = facts.describe(closed, start, onset.frame(), extent);
    if (!isLive || found.pitch() != null) {
      // What is no note may be a fan that goes on, which is the room from then on.
      model.sounds(closed.firstColumn, closed.lastColumn);
    }
    sink.accept(found);
  }

  /** What was heard of the room with nobody playing, so far. */
  RoomTone roomTone() {
    return tone;
  }

  /** The frame up to which all regions have been handed on. */
  long settled() {
    return open == null ? Math.max(lastEnd, decided * hop) : Math.max(lastEnd, open.aroundStart);
  }

  /** What was learnt of the room so far. */
  RoomCourse course() {
    return course;
  }

  /** Frames read. */
  long frames() {
    return columns.frames();
  }
}
