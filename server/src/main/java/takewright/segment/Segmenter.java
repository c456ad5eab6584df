package takewright.segment;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.EnumSet;
import java.util.List;
import java.util.Set;
import java.util.function.Consumer;
import takewright.diagnosis.Flag;
import takewright.pitch.Kind;
import takewright.pitch.Pitch;
import takewright.pitch.PitchDetector;
import takewright.pitch.PitchTrack;

/**
 * Cuts one take while it is read: samples go in, regions come out, and what is kept in between is
 * bounded, whatever the take's length.
 *
 * <p>The way of the sound: samples, columns of band power, the room tone around each column, two
 * thresholds over it (one to start a region, a lower one to stay in it), the onset to the
 * millisecond, and what kind of sound it was.
 */
final class Segmenter {
  /**
   * How far ahead of a decision the room tone is looked for, in seconds: over a long note's end.
   */
  private static final double AHEAD_S = 20;

  /** How far back it is looked for, in seconds: over the last few gaps between notes. */
  private static final double BACK_S = 40;

  /**
   * Length of the mean that the lower threshold is held against, in columns (0.2 s at a 21 ms hop).
   */
  private static final int STAY_COLUMNS = 9;

  /** What is kept behind the last sign of a sound, in seconds: room for the fade. */
  private static final double TAIL_S = 0.1;

  /** How far a fading tail is followed beyond the last clear sign of the sound, in seconds. */
  private static final double FADES_S = 1;

  /**
   * Rise of all bands together that still is a tail, in dB: over 0.2 s and some 25 bands a steady
   * room stays within 0.2 dB.
   */
  private static final double FADES_DB = 1;

  /**
   * A sound that comes up once more must do so by this many times the lower threshold in dB: within
   * a second mere noise now and then passes the threshold itself.
   */
  private static final double AGAIN = 1.5;

  /** How far before the column that shows a sound its quiet start may lie, in seconds. */
  private static final double BEFORE_S = 0.3;

  /** Samples before a region's first column that the onset is given, in seconds. */
  private static final double AROUND_S = 0.7;

  /** Samples after it, in seconds: a slow attack has reached its peak's hundredth by then. */
  private static final double AFTER_S = 1.2;

  /** Of them, those at the start that the onset takes for room tone, in seconds. */
  private static final double QUIET_S = 0.4;

  /** Samples before a note's first column where the one before still rings, in seconds. */
  private static final double RINGS_S = 0.25;

  /**
   * How much earlier than it is seen such a note sets in, in seconds: it begins under the other.
   */
  private static final double RINGS_LEAD_S = 0.015;

  /** Columns from one pitch window to the next in the first second of a region (43 ms). */
  private static final int DENSE = 2;

  /** And after it (170 ms): a held note says little that is new. */
  private static final int SPARSE = 8;

  /** Idle stretches shorter than this, in seconds, teach nothing about the room. */
  private static final double LEAST_TONE_S = 0.3;

  /** Length over which a region's level is taken, in seconds. */
  private static final double LEVEL_S = 0.5;

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

  /** Hears of each region as soon as it seems over; null where all is decided in its own time. */
  private final Consumer<Region> atOnce;

  private final Bands bands;
  private final int hop;
  private final Damage damage;
  private final RoomTone room;
  private final PitchDetector detector;
  private final NextNote nextNote;

  private final FloatHistory audio;
  private final FloatHistory[] columns;
  private final FloatHistory peaks;
  private final FloatHistory powers;
  private final int ahead;
  private final int back;

  private final float[] windowWork;
  private final float[] mixed;
  private final float[] columnWork;
  private final float[] pitchWork;
  private final float[] tone;

  private long decided;

  private Open open;
  private long idleSince;
  private long lastEnd;
  private final List<FrameRange> roomTone = new ArrayList<>();
  private double tonePower;
  private long toneColumns;

  /** A region that has begun and not ended. */
  private static final class Open {
    long firstColumn;
    long lastColumn;
    float[] around;
    long aroundStart;

    /** Samples of it that were there so far. */
    int filled;

    /** The last column well above the threshold that it must keep. */
    long lastLoud;

    /** Whether its end has been told, and no sound has come since. */
    boolean told;

    int anchor;
    float peak;
    float mostPower;
    final double[] bandPower;

    /** Where it sets in, if that is known already; else -1. */
    long onset = -1;

    final Set<Flag> flags = EnumSet.noneOf(Flag.class);
    final PitchTrack pitch = new PitchTrack();
    float[] power = new float[64];
    int powers;

    Open(int bands) {
      bandPower = new double[bands];
    }

    /** Largest absolute sample of those kept around the onset. */
    float around() {
      float most = 0;
      for (int i = anchor; i < around.length; i++) {
        most = Math.max(most, Math.abs(around[i]));
      }
      return most;
    }
  }

  Segmenter(int sampleRate, int channels, SegmentSettings settings, Consumer<Region> sink) {
    this(sampleRate, channels, settings, sink, null);
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
    this.atOnce = atOnce;
    damage = new Damage(channels, sampleRate);
    this.settings = settings;
    this.sampleRate = sampleRate;
    this.sink = sink;
    bands = new Bands(sampleRate);
    hop = bands.hop();
    boolean isLive = atOnce != null;
    ahead = isLive ? LIVE_AHEAD : (int) (AHEAD_S * sampleRate / hop);
    back = (int) (BACK_S * sampleRate / hop);
    detector = new PitchDetector(sampleRate);
    room = new RoomTone(bands.count(), (ahead + back) / RoomTone.COLUMNS + 2);
    audio = new FloatHistory((int) (((isLive ? LIVE_ROOM_S : AHEAD_S) + 3) * sampleRate));
    int kept = 64 + (isLive ? (int) columnsOf(LIVE_ROOM_S) : ahead);
    columns = new FloatHistory[bands.count()];
    for (int b = 0; b < columns.length; b++) {
      columns[b] = new FloatHistory(kept);
    }
    peaks = new FloatHistory(kept);
    powers = new FloatHistory(kept);
    windowWork = new float[bands.window()];
    mixed = new float[bands.window()];
    columnWork = new float[bands.count()];
    pitchWork = new float[detector.window()];
    tone = new float[bands.count()];
    nextNote = new NextNote(columns, powers, audio, hop, sampleRate, detector);
  }

  /** Takes frames in, in blocks of any size. */
  void push(float[][] channels, int count) {
    int done = 0;
    while (done < count) {
      // No more than a column at a time, so that the history never runs over what is undecided.
      int n = (int) Math.min(count - done, nextColumnEnd() - audio.end());
      damage.push(channels, done, n);
      mix(channels, done, n);
      audio.append(mixed, 0, n);
      done += n;
      if (audio.end() == nextColumnEnd()) {
        column();
        boolean isEarly = atOnce != null && audio.end() < LIVE_ROOM_S * sampleRate;
        decide(isEarly ? 0 : powers.end() - ahead);
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
    long frames = audio.end();
    // Columns centred on the last frames read silence behind them.
    while (powers.end() * hop < frames) {
      column();
    }
    decide(powers.end());
    if (open != null) {
      close(frames);
    }
    idle(frames);
  }

  /** Column k is centred on frame k · hop. */
  private long nextColumnEnd() {
    return powers.end() * hop + bands.window() / 2;
  }

  private void column() {
    long centre = powers.end() * hop;
    audio.copy(centre - bands.window() / 2, windowWork, windowWork.length);
    bands.measure(windowWork, columnWork);
    for (int b = 0; b < columns.length; b++) {
      columns[b].append(columnWork[b]);
    }
    int middle = windowWork.length / 2;
    float peak = 0;
    double power = 0;
    for (int i = middle - hop / 2; i < middle + hop / 2; i++) {
      peak = Math.max(peak, Math.abs(windowWork[i]));
      power += (double) windowWork[i] * windowWork[i];
    }
    peaks.append(peak);
    powers.append((float) (power / hop));
    // Columns that reach beyond either end of the take would make the room too quiet.
    boolean whole = centre >= windowWork.length / 2 && centre + middle <= audio.end();
    room.add(columnWork, whole && !isSilent(windowWork));
  }

  /** Whether a fifth of the samples or more are exactly 0, as in no recording of a room. */
  private static boolean isSilent(float[] samples) {
    int zeros = 0;
    for (float x : samples) {
      zeros += x == 0 ? 1 : 0;
    }
    return zeros * 5 >= samples.length;
  }

  /** Decides the columns up to (not including) {@code to}. */
  private void decide(long to) {
    for (; decided < to; decided++) {
      if (decided % RoomTone.COLUMNS == 0) {
        long known = atOnce == null ? decided + ahead : powers.end();
        room.at(decided - back, known, tone);
      }
      double rise = rise(decided);
      double stays = stays(decided);
      if (open == null) {
        if (rise > settings.onThresholdDb() && stays > settings.offThresholdDb()) {
          begin(decided);
        }
      } else if (nextNoteBegins(decided)) {
        split(decided);
      } else if (stays > settings.offThresholdDb()) {
        open.lastColumn = decided;
      } else if (decided - open.lastColumn > columnsOf(settings.minGapMs() / 1000)) {
        close(Long.MAX_VALUE);
      }
      if (open != null) {
        follow(decided);
        tell(stays);
      } else {
        tonePower += powers.get(decided);
        toneColumns++;
      }
    }
  }

  /**
   * How far the loudest band lies above the room when a sound starts, in dB. Over two columns,
   * since in one a narrow band of mere noise comes near the threshold once in an hour.
   */
  private double rise(long column) {
    return rise(column, column + 1);
  }

  /** The same for all columns around one. */
  private double stays(long column) {
    return rise(column - STAY_COLUMNS / 2, column + STAY_COLUMNS / 2);
  }

  private double rise(long first, long last) {
    long from = Math.max(0, first);
    long to = Math.min(powers.end() - 1, last);
    double most = 0;
    for (int b = 0; b < columns.length; b++) {
      double sum = 0;
      for (long k = from; k <= to; k++) {
        sum += columns[b].get(k);
      }
      most = Math.max(most, sum / (to - from + 1) / tone[b]);
    }
    return 10 * Math.log10(most + 1e-9);
  }

  private void begin(long column) {
    open = new Open(columns.length);
    // A quiet start lies before the column that passed the higher threshold.
    long first = column;
    while (first > 0
        && first * hop > lastEnd
        && column - first < columnsOf(BEFORE_S)
        && stays(first - 1) > settings.offThresholdDb()) {
      first--;
    }
    open.firstColumn = first;
    open.lastColumn = column;
    open.lastLoud = column;
    open.aroundStart = Math.max(lastEnd, first * hop - (long) (AROUND_S * sampleRate));
    // The two columns hear up to half a window ahead of the second's centre: there it is for
    // certain.
    open.anchor = (int) ((column + 1) * hop + bands.window() / 2 - open.aroundStart);
    open.around = new float[open.anchor + (int) (AFTER_S * sampleRate)];
    fill(open);
    idle(open.aroundStart);
  }

  /** Copies what is there of the samples around an onset: live, the later ones are yet to come. */
  private void fill(Open o) {
    if (o.filled < o.around.length) {
      o.filled = (int) Math.min(o.around.length, audio.end() - o.aroundStart);
      audio.copy(o.aroundStart, o.around, o.around.length);
    }
  }

  /** Says that the open region seems to be over. */
  private void tell(double stays) {
    if (atOnce == null) {
      return;
    }
    fill(open);
    // With few columns ahead mere noise passes the threshold itself now and then.
    if (stays > AGAIN * settings.offThresholdDb()) {
      open.lastLoud = decided;
      open.told = false;
    } else if (!open.told && decided - open.lastLoud >= columnsOf(LIVE_QUIET_S)) {
      open.told = true;
      long end = end(open, Long.MAX_VALUE);
      long onset = onset(open);
      atOnce.accept(describe(open, start(onset), onset, end));
    }
  }

  private boolean nextNoteBegins(long column) {
    Kind kind = settings.kind();
    if (kind == Kind.PHRASE || kind == Kind.GLIDE || kind == Kind.CLUSTER) {
      return false;
    }
    boolean isHit = kind == Kind.UNPITCHED;
    return nextNote.begins(column, column - open.firstColumn, open.mostPower, tone, !isHit)
        // A voice changes its pitch and level too, but the part before was no note, or hit.
        && isLikeOurs(column);
  }

  /** Whether the open region up to a column is a note, or a hit. */
  private boolean isLikeOurs(long column) {
    double seconds = (double) (column - open.firstColumn) * hop / sampleRate;
    SoundKind.Sound sound = sound(open, seconds);
    return settings.kind() == Kind.UNPITCHED ? !sound.isVoiced() : sound.holds();
  }

  /** Ends the open region where the next note begins in it, and opens that one. */
  private void split(long column) {
    Open next = new Open(columns.length);
    next.firstColumn = column;
    next.lastColumn = column;
    next.aroundStart = Math.max(0, column * hop - (long) (RINGS_S * sampleRate));
    next.anchor = (int) ((column + 1) * hop + bands.window() / 2 - next.aroundStart);
    next.around = new float[next.anchor + (int) (AFTER_S * sampleRate)];
    fill(next);
    // What still rings is the room for this one, and the onset lies within the columns compared.
    int quiet = (int) (column * hop - 2L * hop - next.aroundStart);
    int onset = Onset.find(next.around, quiet, next.anchor, next.around(), sampleRate);
    long lead = (long) (RINGS_LEAD_S * sampleRate);
    next.onset = next.aroundStart + Math.max(onset - lead, quiet);
    long leadIn = Math.round(settings.leadInMs() / 1000 * sampleRate);
    open.flags.add(Flag.RINGS_ON);
    close(Math.max(next.onset - leadIn, lastEnd));
    next.flags.add(Flag.IN_TAIL);
    open = next;
  }

  /** Whether the pitch of what the take holds may change all along. */
  private boolean moves() {
    Kind kind = settings.kind();
    return kind == null || kind == Kind.GLIDE || kind == Kind.PHRASE;
  }

  /** Measures a column of the open region. */
  private void follow(long column) {
    open.peak = Math.max(open.peak, peaks.get(column));
    if (open.powers == open.power.length) {
      open.power = Arrays.copyOf(open.power, 2 * open.powers);
    }
    open.power[open.powers++] = powers.get(column);
    for (int b = 0; b < columns.length; b++) {
      open.bandPower[b] += columns[b].get(column) - tone[b];
    }
    open.mostPower = Math.max(open.mostPower, powers.get(column));
    long since = column - open.firstColumn;
    boolean isDense = moves() || since * hop < sampleRate;
    int every = isDense ? DENSE : SPARSE;
    if (since % every == 0) {
      audio.copy(column * hop - detector.window() / 2, pitchWork, pitchWork.length);
      open.pitch.add(column * hop, detector, detector.find(pitchWork, 0));
    }
  }

  private void close(long limit) {
    Open o = open;
    open = null;
    long end = end(o, limit);
    long onset = onset(o);
    long start = start(onset);
    lastEnd = end;
    idleSince = end;
    sink.accept(describe(o, start, onset, end));
  }

  private long end(Open o, long limit) {
    long end = (fades(o.lastColumn) + STAY_COLUMNS / 2 + 1) * hop + (long) (TAIL_S * sampleRate);
    return Math.min(end, Math.min(limit, audio.end()));
  }

  private long start(long onset) {
    long leadIn = Math.round(settings.leadInMs() / 1000 * sampleRate);
    return Math.max(lastEnd, Math.max(0, onset - leadIn));
  }

  private long onset(Open o) {
    if (o.onset >= 0) {
      return o.onset;
    }
    int quiet = (int) (QUIET_S * sampleRate);
    // Where the take breaks off, the sound is there up to its last frame.
    int anchor = (int) Math.min(o.anchor, audio.end() - 1 - o.aroundStart);
    int found = Onset.find(o.around, Math.min(quiet, anchor), anchor, o.peak, sampleRate);
    return o.aroundStart + found;
  }

  /**
   * The last column of a sound that fades into the room: hardly above it in any one band, but a
   * little in all of them together, or sinking below it and coming up once more.
   */
  private long fades(long last) {
    long until = Math.min(powers.end() - 1, last + columnsOf(FADES_S));
    // A sound that follows is not this one's tail, nor is the pause before it.
    for (long column = last + 1; column <= until + STAY_COLUMNS; column++) {
      if (rise(column) > settings.onThresholdDb()) {
        until = Math.min(until, column - columnsOf(BEFORE_S));
      }
    }
    long end = last;
    for (long column = last + 1; column <= until; column++) {
      boolean together = end == column - 1 && risesTogether(column) > FADES_DB;
      if (together || stays(column) > AGAIN * settings.offThresholdDb()) {
        end = column;
      }
    }
    return end;
  }

  /** How far the columns around one lie above the room in the mean of all bands, in dB. */
  private double risesTogether(long column) {
    long from = Math.max(0, column - STAY_COLUMNS / 2);
    long to = Math.min(powers.end() - 1, column + STAY_COLUMNS / 2);
    double sum = 0;
    for (int b = 0; b < columns.length; b++) {
      double power = 0;
      for (long k = from; k <= to; k++) {
        power += columns[b].get(k);
      }
      sum += Math.log10(power / (to - from + 1) / tone[b] + 1e-9);
    }
    return 10 * sum / columns.length;
  }

  private SoundKind.Sound sound(Open o, double seconds) {
    double room = toneColumns == 0 ? 0 : tonePower / toneColumns;
    double most = 0;
    for (int i = 0; i < o.powers; i++) {
      most = Math.max(most, o.power[i] - room);
    }
    int rise = 0;
    while (rise < o.powers && o.power[rise] - room < most / 2) {
      rise++;
    }
    double all = 0;
    double high = 0;
    for (int b = 0; b < o.bandPower.length; b++) {
      double power = Math.max(0, o.bandPower[b]) * bands.bins(b);
      all += power;
      high += bands.lowest(b) >= SoundKind.HIGH_HZ ? power : 0;
    }
    double column = (double) hop / sampleRate;
    return new SoundKind.Sound(
        o.pitch.summary(room),
        moves() ? o.pitch.steady(room, SoundKind.STEADY_CENTS) : Double.NaN,
        moves() ? o.pitch.glide() : 0,
        seconds,
        all > 0 ? high / all : 0,
        rise * column);
  }

  private Region describe(Open o, long start, long onset, long end) {
    SoundKind.Sound sound = sound(o, (double) (end - onset) / sampleRate - TAIL_S);
    PitchTrack.Summary heard = sound.pitch();
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
      pitch = Pitch.of(heard.frequencyHz(), settings.tuningHz(), heard.share());
    } else if (kind == Kind.GLIDE && heard.firstHz() > 0) {
      pitch = Pitch.of(heard.firstHz(), settings.tuningHz(), heard.voiced());
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
        20 * Math.log10(Math.max(1e-10, o.peak)),
        level(o));
  }

  /** RMS of the loudest half second, in dBFS. */
  private double level(Open o) {
    int n = (int) Math.max(1, Math.min(o.powers, columnsOf(LEVEL_S)));
    double sum = 0;
    double most = 0;
    for (int i = 0; i < o.powers; i++) {
      sum += o.power[i];
      if (i >= n) {
        sum -= o.power[i - n];
      }
      if (i >= n - 1) {
        most = Math.max(most, sum / n);
      }
    }
    return 10 * Math.log10(Math.max(1e-20, most));
  }

  /** Notes that nothing was heard from the last end up to a frame. */
  private void idle(long until) {
    long margin = (long) (TAIL_S * sampleRate);
    long from = idleSince + margin;
    long to = until - margin;
    if (to - from >= LEAST_TONE_S * sampleRate) {
      roomTone.add(new FrameRange(from, to));
    }
    idleSince = until;
  }

  private long columnsOf(double seconds) {
    return Math.round(seconds * sampleRate / hop);
  }

  /** Stretches in which nobody plays, so far. */
  List<FrameRange> roomTone() {
    return roomTone;
  }

  /** Level of those stretches, RMS in dBFS. */
  double roomToneDbfs() {
    return toneColumns == 0 ? -200 : 10 * Math.log10(Math.max(1e-20, tonePower / toneColumns));
  }

  /** The frame up to which all regions have been handed on. */
  long settled() {
    return open == null ? Math.max(lastEnd, decided * hop) : open.aroundStart;
  }

  /** Frames read. */
  long frames() {
    return audio.end();
  }
}
