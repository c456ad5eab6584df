package takewright.segment;

import java.util.ArrayList;
import java.util.EnumSet;
import java.util.List;
import java.util.Set;
import java.util.function.Consumer;
import takewright.diagnosis.Flag;
import takewright.pitch.Kind;
import takewright.pitch.Pitch;
import takewright.pitch.PitchDetector;
import takewright.pitch.PitchTrack;
import takewright.segment.onset.Onset;
import takewright.segment.room.Columns;
import takewright.segment.room.Room;
import takewright.segment.room.RoomCourse;
import takewright.segment.room.RoomModel;

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

  /** How far before the column that shows a sound its quiet start may lie, in seconds. */
  private static final double BEFORE_S = 0.3;

  /** Samples before a region's first column that the onset is given, in seconds. */
  private static final double AROUND_S = 1;

  /** Samples after it, in seconds: a slow attack has reached its peak's hundredth by then. */
  private static final double AFTER_S = 1.2;

  /** Share of them, from their start, that the onset takes for room tone. */
  private static final double QUIET_SHARE = 0.7;

  /** Samples before a note's first column where the one before still rings, in seconds. */
  private static final double RINGS_S = 0.25;

  /**
   * How much earlier than it is seen such a note sets in at most, in seconds: it begins under the
   * other, as long before as it then takes to rise.
   */
  private static final double RINGS_LEAD_S = 0.015;

  /** A ring that has sunk into the room comes up again within this, in seconds. */
  private static final double AGAIN_S = 1;

  /** A hit has come to its full level by then, in seconds. */
  private static final double FULL_S = 0.1;

  /** And lies so far below its hit, as a power ratio: 20 dB. */
  private static final double SWELL = 0.01;

  /** A note is louder than a noise before it by this much, as a power ratio: 16 dB. */
  private static final double LOUDER = 40;

  /** And then tells nothing of what follows so much later, in seconds. */
  private static final double PAUSE_S = 0.15;

  /** A thud of the room is over after so many columns (64 ms). */
  private static final int THUD_COLUMNS = 3;

  /** What still sounds is heard so far above the room, as a power ratio: 6 dB. */
  private static final double RINGS = 4;

  /** A tail cut so far below the note, as a power ratio, is no loss that anybody hears: -35 dB. */
  private static final double CUT = Math.pow(10, -3.5);

  /** Columns from one pitch window to the next in the first second of a region (43 ms). */
  private static final int DENSE = 2;

  /** And after it (170 ms): a held note says little that is new. */
  private static final int SPARSE = 8;

  /** Idle stretches shorter than this, in seconds, teach nothing about the room. */
  private static final double LEAST_TONE_S = 0.3;

  /** So many peaks cut off are heard as such and cannot be mended; fewer are only flagged. */
  private static final int MOST_CLIPPED = 3;

  /** A region opened while the room is not known yet would be the room itself, in seconds. */
  private static final double LIVE_ROOM_S = 1;

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
  private final PitchDetector detector;
  private final NextNote nextNote;
  private final ForeignSound foreign;
  private final int ahead;
  private final float[] mixed;
  private final float[] pitchWork;

  private long decided;
  private OpenRegion open;
  private long idleSince;

  /** Where the last region ends, and up to where it was heard. */
  private long lastEnd;

  private long lastHeard;
  private final List<FrameRange> roomTone = new ArrayList<>();
  private double tonePower;
  private long toneColumns;

  Segmenter(int sampleRate, int channels, SegmentSettings settings, Consumer<Region> sink) {
    this(sampleRate, channels, settings, sink, null, null);
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
    this(sampleRate, channels, settings, sink, atOnce, null);
  }

  /** One that measures the regions that a person marked. */
  Segmenter(
      int sampleRate,
      int channels,
      SegmentSettings settings,
      Consumer<Region> sink,
      MarkedSpans marks) {
    this(sampleRate, channels, settings, sink, null, marks);
  }

  private Segmenter(
      int sampleRate,
      int channels,
      SegmentSettings settings,
      Consumer<Region> sink,
      Consumer<Region> atOnce,
      MarkedSpans marks) {
    this.atOnce = atOnce;
    this.marks = marks;
    this.settings = settings;
    this.sampleRate = sampleRate;
    this.sink = sink;
    damage = new Damage(channels, sampleRate);
    double aheadS = atOnce != null ? LIVE_ROOM_S : AHEAD_S;
    columns = new Columns(sampleRate, aheadS + 3, aheadS + 1.5);
    hop = columns.hop();
    ahead = atOnce != null ? LIVE_AHEAD : (int) columns.columnsOf(AHEAD_S);
    model = new RoomModel(columns.bandCount(), (int) columns.columnsOf(BACK_S), ahead);
    room = new Room(columns.bandCount(), settings.onThresholdDb(), settings.offThresholdDb());
    course = new RoomCourse((double) LEARN_COLUMNS * hop / sampleRate);
    evidence = new Evidence(columns, room);
    ends =
        new RegionEnd(
            columns,
            room,
            evidence,
            settings.offThresholdDb() <= SegmentSettings.DEFAULTS.offThresholdDb());
    detector = new PitchDetector(sampleRate);
    nextNote = new NextNote(columns, detector);
    foreign = new ForeignSound(columns.bands(), sampleRate);
    mixed = new float[columns.bands().window()];
    pitchWork = new float[detector.window()];
  }

  /** Takes frames in, in blocks of any size. */
  void push(float[][] channels, int count) {
    int done = 0;
    while (done < count) {
      // No more than a column at a time, so that the history never runs over what is undecided.
      int n = (int) Math.min(count - done, columns.framesToNext());
      damage.push(channels, done, n);
      mix(channels, done, n);
      columns.append(mixed, n);
      done += n;
      if (columns.framesToNext() == 0) {
        measure();
        boolean isEarly = atOnce != null && columns.frames() < LIVE_ROOM_S * sampleRate;
        decide(isEarly ? 0 : columns.end() - ahead);
      }
    }
  }

  /** What is listened to: the mean of all channels. */
  private void mix(float[][] channels, int from, int count) {
    System.arraycopy(channels[0], from, mixed, 0, count);
    if (channels.length == 1) {
      return;
    }
    for (int c = 1; c < channels.length; c++) {
      for (int i = 0; i < count; i++) {
        mixed[i] += channels[c][from + i];
      }
    }
    float share = 1f / channels.length;
    for (int i = 0; i < count; i++) {
      mixed[i] *= share;
    }
  }

  /** Ends the take: what is still open is closed. */
  void finish() {
    long frames = columns.frames();
    // Columns centred on the last frames read silence behind them.
    while (columns.end() * hop < frames) {
      measure();
    }
    decide(columns.end());
    if (marks != null && marks.current() != null && marks.current().start() < frames) {
      closeMarked(columns.end(), Math.min(frames, marks.limit()));
    } else if (open != null) {
      close(frames);
    }
    idle(frames);
  }

  private void measure() {
    columns.measure();
    model.add(columns.latest(), columns.isLive(), columns.prominence());
  }

  /** Decides the columns up to (not including) {@code to}. */
  private void decide(long to) {
    for (; decided < to; decided++) {
      if (decided % LEARN_COLUMNS == 0) {
        if (open != null && atOnce == null) {
          // What is decided at once has no other side from which to learn that a fan went on.
          model.sounds(open.firstColumn, decided - 1);
        }
        model.at(decided, room);
        double total = 0;
        double start = 0;
        for (int b = 0; b < columns.bandCount(); b++) {
          total += room.power(b) * columns.bands().bins(b);
          start += room.start(b) * columns.bands().bins(b);
        }
        room.learnTotal(total);
        course.add(total, start);
      }
      if (marks != null) {
        decideMarked(decided);
      } else if (open == null) {
        if (evidence.starts(decided) && evidence.stays(decided, null)) {
          begin(decided, 0);
        }
      } else if (isOnlyNowThere(decided)) {
        // The thud before tells nothing of how loud the room is as the note sets in.
        long over = open.strongestBeforeAttack() + THUD_COLUMNS;
        boolean isPause = decided - over > columns.columnsOf(PAUSE_S);
        lastHeard = isPause ? over * hop : lastHeard;
        begin(decided, decided - OpenRegion.ATTACK_COLUMNS);
      } else if (nextNoteBegins(decided)) {
        split(decided);
      } else if (evidence.stays(decided, open) || evidence.fades(decided, open)) {
        open.lastColumn = decided;
      } else if (decided - open.lastColumn > columns.columnsOf(settings.minGapMs() / 1000)
          && !comesUpAgain()) {
        close(Long.MAX_VALUE);
      }
      if (open != null) {
        follow(decided);
        tell();
      } else if (marks == null || !evidence.starts(decided)) {
        // A sound that a person left unmarked is no room tone.
        tonePower += columns.power(decided);
        toneColumns++;
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
    } else if (evidence.stays(column, open) || evidence.fades(column, open)) {
      open.lastColumn = column;
    } else if (span.end() == null
        && column - open.lastColumn > columns.columnsOf(settings.minGapMs() / 1000)
        && !comesUpAgain()) {
      closeMarked(column, ends.of(open, ends.heard(open), marks.limit()));
    }
  }

  /** Ends the current marked region, and goes on to the next. */
  private void closeMarked(long column, long end) {
    long start = marks.current().start();
    if (open == null) {
      // Nothing was heard in it, or it is shorter than a column.
      open = new OpenRegion(columns, column, column, Math.max(0, column * hop - hop), 0);
      open.onset = start;
      if (column < columns.end()) {
        follow(column);
      }
    }
    OpenRegion closed = open;
    open = null;
    long heard = Math.max(start + 1, Math.min(end, ends.heard(closed)));
    long onset = Math.max(start, Math.min(end - 1, onset(closed)));
    lastHeard = heard;
    model.sounds(closed.firstColumn, closed.lastColumn);
    lastEnd = end;
    idleSince = end;
    marks.next();
    sink.accept(describe(closed, start, onset, heard, end));
  }

  /**
   * Whether a hit's ring, which had sunk into the room, is about to swell once more: softer by far
   * than the hit, so that it is no other.
   */
  private boolean comesUpAgain() {
    long until = Math.min(columns.end() - 2, open.lastColumn + columns.columnsOf(AGAIN_S));
    for (long k = decided; settings.kind() == Kind.UNPITCHED && k < until; k++) {
      if (evidence.starts(k) || evidence.staysClearly(k, open)) {
        // The first columns that show a hit hold only its beginning.
        return columns.max(k, Math.min(columns.end() - 1, k + columns.columnsOf(FULL_S)))
            < SWELL * open.mostPower();
      }
    }
    return false;
  }

  /**
   * @param column shows the sound
   * @param earliest column at which it may have begun
   */
  private void begin(long column, long earliest) {
    OpenRegion seen = new OpenRegion(columns, column, column, column * hop, 0);
    seen.begin(room, column);
    // A quiet start lies before the column that passed the higher threshold.
    long first = column;
    long free = marks == null ? lastEnd : marks.current().start();
    while (first > earliest
        && first * hop > free
        && column - first < columns.columnsOf(BEFORE_S)
        && evidence.stays(first - 1, seen)) {
      first--;
    }
    long from = Math.max(lastHeard, first * hop - (long) (AROUND_S * sampleRate));
    if (marks != null) {
      // Where the one before rings up to this one, its ring is the room to compare with.
      from = Math.max(0, Math.min(from, first * hop - (long) (RINGS_S * sampleRate)));
    }
    open = new OpenRegion(columns, first, column, from, AFTER_S);
    open.begin(room, column);
    foreign.reset();
    idle(Math.max(lastEnd, from));
  }

  /** Says that the open region seems to be over. */
  private void tell() {
    if (atOnce == null) {
      return;
    }
    open.fill();
    // With few columns ahead mere noise passes the threshold itself now and then.
    if (evidence.staysClearly(decided, open)) {
      open.lastLoud = decided;
      open.isTold = false;
    } else if (!open.isTold && decided - open.lastLoud >= columns.columnsOf(LIVE_QUIET_S)) {
      open.isTold = true;
      long heard = ends.heard(open);
      long onset = onset(open);
      long end = ends.of(open, heard, Long.MAX_VALUE);
      atOnce.accept(describe(open, start(onset), onset, heard, end));
    }
  }

  /**
   * Whether what opened the region was no note, like a thud of the room, and one begins only now,
   * louder by far. What lies before is then no part of it.
   */
  private boolean isOnlyNowThere(long column) {
    return settings.kind() == Kind.PITCHED
        && column - open.firstColumn > columns.columnsOf(BEFORE_S)
        && open.powerBeforeAttack() > 0
        && columns.power(column) > LOUDER * Math.max(open.powerBeforeAttack(), room.total())
        && !isLikeOurs(column);
  }

  private boolean nextNoteBegins(long column) {
    Kind kind = settings.kind();
    if (kind == Kind.PHRASE || kind == Kind.GLIDE || kind == Kind.CLUSTER) {
      return false;
    }
    boolean isHit = kind == Kind.UNPITCHED;
    long since = column - open.firstColumn;
    if (!isHit && nextNote.isStruckAgain(column, open, room)) {
      return true;
    }
    return nextNote.begins(column, since, open.mostPower(), room, !isHit)
        // A voice changes its pitch and level too, but the part before was no note, or hit.
        && isLikeOurs(column);
  }

  /** Whether the open region up to a column is a note, or a hit. */
  private boolean isLikeOurs(long column) {
    double seconds = (double) (column - open.firstColumn) * hop / sampleRate;
    SoundKind.Sound sound = open.sound(tonePower(), seconds, moves());
    return settings.kind() == Kind.UNPITCHED ? !sound.isVoiced() : sound.holds();
  }

  /** Ends the open region where the next note begins in it, and opens that one. */
  private void split(long column) {
    long from = Math.max(0, column * hop - (long) (RINGS_S * sampleRate));
    OpenRegion next = new OpenRegion(columns, column, column, from, AFTER_S);
    next.begin(room, column);
    // What still rings is the room for this one, and the onset lies within the columns compared.
    int quiet = (int) (column * hop - 2L * hop - from);
    int onset =
        Onset.find(next.around, quiet, next.anchor(), next.peakAround(), sampleRate, next.spread());
    double rings = columns.min(column - 5, column - 2);
    boolean isHeard = rings > RINGS * room.total();
    long most = (long) (RINGS_LEAD_S * sampleRate);
    long lead = isHeard ? Math.min(most, next.riseAfter(onset)) : 0;
    next.onset = from + Math.max(onset - lead, quiet);
    long leadIn = Math.round(settings.leadInMs() / 1000 * sampleRate);
    if (isHeard && rings > CUT * open.mostPower()) {
      open.flags.add(Flag.RINGS_ON);
    }
    if (isHeard && rings > CUT * columns.power(column + 1)) {
      next.flags.add(Flag.IN_TAIL);
    }
    close(Math.max(next.onset - leadIn, lastEnd));
    foreign.reset();
    open = next;
  }

  /** Whether the pitch of what the take holds may change all along. */
  private boolean moves() {
    Kind kind = settings.kind();
    return kind == null || kind == Kind.GLIDE || kind == Kind.PHRASE;
  }

  /** Measures a column of the open region. */
  private void follow(long column) {
    open.add(column, room, evidence);
    if (settings.kind() == null || settings.kind() == Kind.PITCHED) {
      foreign.add(columns, column);
    }
    long since = column - open.firstColumn;
    boolean isDense = moves() || since * hop < sampleRate;
    int every = isDense ? DENSE : SPARSE;
    if (since % every == 0) {
      columns.audio().copy(column * hop - detector.window() / 2, pitchWork, pitchWork.length);
      open.pitch.add(column * hop, detector, detector.find(pitchWork, 0));
    }
  }

  private void close(long limit) {
    OpenRegion closed = open;
    open = null;
    long heard = Math.min(limit, ends.heard(closed));
    long onset = onset(closed);
    long end = Math.max(onset + 1, ends.of(closed, heard, limit));
    long start = start(onset);
    lastHeard = heard;
    if (atOnce == null) {
      model.sounds(closed.firstColumn, closed.lastColumn);
    }
    lastEnd = end;
    idleSince = end;
    sink.accept(describe(closed, start, onset, heard, end));
  }

  private long start(long onset) {
    long leadIn = Math.round(settings.leadInMs() / 1000 * sampleRate);
    return Math.max(lastEnd, Math.max(0, onset - leadIn));
  }

  private long onset(OpenRegion region) {
    if (region.onset >= 0) {
      // The note before may turn out to begin, and so to end, later than this one was heard to.
      return Math.max(lastEnd, region.onset);
    }
    long before = region.firstColumn * hop - region.aroundStart;
    int quiet = (int) (QUIET_SHARE * Math.max(0, before));
    boolean isOne = settings.kind() == Kind.PITCHED || settings.kind() == Kind.UNPITCHED;
    int seen = isOne ? region.bodyAnchor(tonePower()) : region.anchor();
    // Where the take breaks off, the sound is there up to its last frame.
    int anchor = (int) Math.min(seen, columns.frames() - 1 - region.aroundStart);
    int found =
        Onset.find(
            region.around,
            Math.min(quiet, anchor),
            anchor,
            region.peak(),
            sampleRate,
            region.spread());
    return Math.max(lastEnd, region.aroundStart + found);
  }

  private Region describe(OpenRegion o, long start, long onset, long heard, long end) {
    double seconds = (double) (heard - onset) / sampleRate;
    SoundKind.Sound sound = o.sound(tonePower(), seconds, moves());
    PitchTrack.Summary summary = sound.pitch();
    Set<Flag> flags = EnumSet.noneOf(Flag.class);
    flags.addAll(o.flags);
    Flag reason = SoundKind.reject(settings, sound);
    if (reason != null) {
      flags.add(reason);
    }
    int clipped = damage.clipped(start, end);
    if (clipped > 0) {
      flags.add(Flag.CLIPPED);
    }
    boolean isBroken = clipped >= MOST_CLIPPED;
    if (damage.gaps(start, end) > 0) {
      flags.add(Flag.DROPOUT);
      isBroken = true;
    }
    Kind kind = settings.kind() != null ? settings.kind() : SoundKind.kind(sound);
    Pitch pitch = null;
    if (kind == Kind.PITCHED && reason == null) {
      pitch = Pitch.of(summary.frequencyHz(), settings.tuningHz(), summary.share());
    } else if (kind == Kind.GLIDE && summary.firstHz() > 0) {
      pitch = Pitch.of(summary.firstHz(), settings.tuningHz(), summary.voiced());
    }
    Pitch guess = null;
    if (kind == Kind.PITCHED && reason != null && summary.frequencyHz() > 0) {
      guess = Pitch.of(summary.frequencyHz(), settings.tuningHz(), summary.share());
    }
    double confidence = sound.confidence(kind);
    return new Region(
        start,
        onset,
        end,
        kind,
        pitch,
        reason == null ? confidence : 1 - confidence,
        reason != null || isBroken,
        flags,
        20 * Math.log10(Math.max(1e-10, o.peak())),
        o.levelDbfs(),
        pitch == null || kind != Kind.PITCHED
            ? Blemishes.NONE
            : blemishes(o, pitch, onset, end - heard),
        guess);
  }

  private Blemishes blemishes(OpenRegion o, Pitch pitch, long onset, long hiddenFrames) {
    double first = (double) o.pitch.otherStart(pitch.frequencyHz()) / sampleRate;
    // What was heard of the room before the note is none of it.
    int from = (int) Math.max(0, onset / hop - o.seenColumn);
    int to = (int) (o.lastColumn - o.seenColumn + 1);
    return foreign.judge(pitch.frequencyHz(), from, to, room, first, hiddenFrames);
  }

  /** Notes that nothing was heard from the last end up to a frame. */
  private void idle(long until) {
    long margin = (long) (RegionEnd.TAIL_S * sampleRate);
    long from = idleSince + margin;
    long to = until - margin;
    if (to - from >= LEAST_TONE_S * sampleRate) {
      roomTone.add(new FrameRange(from, to));
    }
    idleSince = until;
  }

  /** Stretches in which nobody plays, so far. */
  List<FrameRange> roomTone() {
    return roomTone;
  }

  /** Mean square of those stretches. */
  private double tonePower() {
    return toneColumns == 0 ? 0 : tonePower / toneColumns;
  }

  /** Level of those stretches, RMS in dBFS. */
  double roomToneDbfs() {
    return toneColumns == 0 ? -200 : 10 * Math.log10(Math.max(1e-20, tonePower()));
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
