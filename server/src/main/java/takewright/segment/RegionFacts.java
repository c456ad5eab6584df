package takewright.segment;

import java.util.EnumSet;
import java.util.Set;
import takewright.audio.Clip;
import takewright.diagnosis.Flag;
import takewright.dsp.Decibels;
import takewright.pitch.Kind;
import takewright.pitch.Pitch;
import takewright.pitch.PitchDetector;
import takewright.pitch.PitchOfNote;
import takewright.pitch.PitchTrack;
import takewright.segment.ahead.Ahead;
import takewright.segment.ahead.PitchAhead;
import takewright.segment.room.Columns;
import takewright.segment.room.Room;

/** Measures the open region column by column, and says what it was once it is closed. */
final class RegionFacts {
  /** Columns from one pitch window to the next in the first second of a region (43 ms). */
  private static final int DENSE = 2;

  /** And after it (170 ms): a held note says little that is new. */
  private static final int SPARSE = 8;

  /**
   * From this number of peaks cut off on, they are heard and cannot be mended; fewer are only
   * flagged.
   */
  private static final int MOST_CLIPPED = 3;

  /** The last columns of a region may hear the note that follows: a window. */
  private static final int WINDOW = 2;

  /** Where fewer of its windows agree on a pitch, that may be none of the note's. */
  private static final double SURE_SHARE = 0.6;

  /** A common period is two to four of the note's, to within a semitone. */
  private static final double LEAST_TIMES = 1.9;

  private static final double MOST_TIMES = 4.2;

  /** What is struck shows its partials within so much of it, in seconds. */
  private static final double RINGS_S = 0.6;

  private final SegmentSettings settings;
  private final Columns columns;
  private final Room room;
  private final Evidence evidence;
  private final RoomTone tone;
  private final Damage damage;
  private final PitchDetector detector;
  private final ForeignSound foreign;
  private PitchAhead pitches;
  private final int sampleRate;
  private final int hop;

  RegionFacts(
      SegmentSettings settings,
      Columns columns,
      Room room,
      Evidence evidence,
      RoomTone tone,
      Damage damage,
      PitchDetector detector) {
    this.settings = settings;
    this.columns = columns;
    this.room = room;
    this.evidence = evidence;
    this.tone = tone;
    this.damage = damage;
    this.detector = detector;
    sampleRate = columns.sampleRate();
    hop = columns.hop();
    foreign = new ForeignSound(columns);
    pitches = new PitchAhead(columns, detector, new Ahead(Ahead.NOBODY));
  }

  /** Lets another thread look at windows ahead. */
  void helpedBy(Ahead ahead) {
    pitches = new PitchAhead(columns, detector, ahead);
  }

  /** Forgets the region before. */
  void reset() {
    foreign.reset();
    pitches.reset();
  }

  /** Measures a column of the open region. */
  void add(OpenRegion open, long column) {
    open.add(column, room, evidence);
    if (settings.kind() == null || settings.kind() == Kind.PITCHED) {
      foreign.add(columns, column);
    }
    long since = column - open.firstColumn;
    boolean isDense = moves() || since * hop < sampleRate;
    int every = isDense ? DENSE : SPARSE;
    if (since % every == 0) {
      pitches.add(open.pitch, column, every);
      if (open.underRing != null) {
        open.underRing.add(column, columns, detector);
      }
    }
  }

  /** Whether an open region up to a column is a note, or a hit, as the take's kind asks for. */
  boolean isLikeOurs(OpenRegion open, long column) {
    double seconds = (double) (column - open.firstColumn) * hop / sampleRate;
    SoundKind.Sound sound = open.sound(tone.power(), seconds, moves());
    return settings.kind() == Kind.UNPITCHED ? !sound.isVoiced() : sound.holds();
  }

  /**
   * How far a region reaches.
   *
   * @param heard frame up to which it is heard in the room
   * @param partials frame up to which its partials are heard, if it is a note
   * @param end first frame after it
   */
  record Extent(long heard, long partials, long end) {
    static Extent of(long heard, long end) {
      return new Extent(heard, heard, end);
    }
  }

  /**
   * How far a region reaches: a note counts as long as its partials are heard, and what has only
   * died away until then ends there, whatever is heard behind it.
   *
   * @param onset frame at which its sound sets in
   * @param heard frame up to which anything is heard in the room
   * @param end first frame after the region
   */
  Extent extent(OpenRegion o, long onset, long heard, long end) {
    double seconds = (double) (heard - onset) / sampleRate;
    SoundKind.Sound sound = o.sound(tone.power(), seconds, moves());
    double hertz = sound.pitch().frequencyHz();
    if (settings.kind() != Kind.PITCHED
        || hertz <= 0
        || SoundKind.reject(settings, sound) != null) {
      return Extent.of(heard, end);
    }
    int from = (int) Math.max(0, onset / hop - o.seenColumn);
    long last = foreign.partialsEnd(hertz, from, room);
    if (heard / hop - last <= WINDOW) {
      return Extent.of(heard, end);
    }
    long partials = Math.max(onset + 1, last * hop);
    long tail = partials + (long) (RegionEnd.TAIL_S * sampleRate);
    boolean isStroke = o.hasOnlyFallen(tail / hop, room.total());
    return isStroke && tail < heard
        ? new Extent(partials, partials, tail)
        : new Extent(heard, partials, end);
  }

  /**
   * What a region is.
   *
   * @param start first frame of the region
   * @param onset frame at which its sound sets in
   * @param extent how far it reaches
   */
  Region describe(OpenRegion o, long start, long onset, Extent extent) {
    long heard = extent.heard();
    long end = extent.end();
    double seconds = (double) (heard - onset) / sampleRate;
    SoundKind.Sound sound = o.sound(tone.power(), seconds, moves());
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
      pitch = pitch(o, summary, onset, heard);
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
        Decibels.fromAmplitude(Math.max(1e-10, o.peak())),
        o.levelDbfs(),
        damaged(
            pitch == null || kind != Kind.PITCHED
                ? Blemishes.NONE
                : blemishes(o, summary.frequencyHz(), pitch, onset, extent),
            start,
            end),
        guess);
  }

  /**
   * The pitch that windows agree on, unless it is but a period that the partials of something
   * struck have in common.
   */
  private Pitch pitch(OpenRegion o, PitchTrack.Summary voted, long onset, long heard) {
    float[] audio = new float[(int) Math.min(heard - onset, (long) (RINGS_S * sampleRate))];
    columns.audio().copy(onset, audio, audio.length);
    Clip clip = Clip.of(sampleRate, audio);
    Pitch struck = PitchOfNote.ofBar(clip, voted.frequencyHz(), settings.tuningHz());
    if (struck != null) {
      return struck;
    }
    Pitch named = Pitch.of(voted.frequencyHz(), settings.tuningHz(), voted.share());
    return voted.share() < SURE_SHARE || o.isRungInto ? beforeItFades(clip, named) : named;
  }

  /**
   * The pitch of a note while it is louder than what rings into it, where it is a multiple of the
   * one that all its windows agree on: together both have a longer period, which nobody plays.
   */
  private Pitch beforeItFades(Clip beginning, Pitch voted) {
    Pitch first = PitchOfNote.of(beginning, settings.tuningHz());
    double times = first == null ? 0 : first.frequencyHz() / voted.frequencyHz();
    return times > LEAST_TIMES && times < MOST_TIMES ? first : voted;
  }

  /** With where its audio is broken. */
  private Blemishes damaged(Blemishes heard, long start, long end) {
    return heard.at(
        heard.places().withDamage(damage.clippedAt(start, end), damage.gapsAt(start, end)));
  }

  private Blemishes blemishes(
      OpenRegion o, double votedHz, Pitch pitch, long onset, Extent extent) {
    PitchTrack track = o.heard(tone.power());
    double first = (double) track.otherStart(votedHz, onset) / sampleRate;
    double late = (double) track.lateStart(votedHz, onset) / sampleRate;
    // What was heard of the room before the note is none of it.
    int from = (int) Math.max(0, onset / hop - o.seenColumn);
    long to = o.lastColumn + 1;
    ForeignSound.NoteColumns where =
        new ForeignSound.NoteColumns(
            from,
            (int) (to - o.seenColumn),
            (int) (Math.min(to, extent.end() / hop) - o.seenColumn),
            (int) (extent.heard() / hop - o.seenColumn));
    Blemishes.NoteStart beginning = new Blemishes.NoteStart(first, late);
    long hidden = extent.end() - extent.partials();
    return foreign.judge(pitch.frequencyHz(), where, room, beginning, hidden);
  }

  /** Whether the pitch of what the take holds may change all along. */
  private boolean moves() {
    Kind kind = settings.kind();
    return kind == null || kind == Kind.GLIDE || kind == Kind.PHRASE;
  }
}
