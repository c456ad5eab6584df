package takewright.segment;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import takewright.diagnosis.Flag;
import takewright.diagnosis.Flags;
import takewright.dsp.Decibels;
import takewright.pitch.Kind;
import takewright.pitch.PlannedPitch;
import takewright.segment.flaw.Pauses;
import takewright.segment.flaw.ShortNote;
import takewright.segment.live.LastSeconds;
import takewright.segment.live.RoomBlows;
import takewright.segment.live.WordBehind;

/**
 * Finds the regions of a take while it is played.
 *
 * <p>It listens three times. The first ear says some 0.2 s after a sound what it seems to have
 * been, but does not hear another note begin before that one has ended. The second decides a second
 * later and does. The third is {@link Segment} itself, which looks 20 s ahead of each decision and
 * so is that much behind. Each confirms or corrects the one before. At the end of the take nothing
 * is left but what {@link Segment} says of the whole. Memory is bounded but for the regions.
 */
public final class LiveSegment {
  /**
   * A sound of the take.
   *
   * @param number from 1, in the order in which they were first heard; one that is corrected keeps
   *     its number, and none is given twice
   * @param region what is known of it
   * @param ear which ear heard it so
   * @param brief what does not belong to a short note; {@link Brief#NONE} of other sounds
   */
  public record HeardRegion(int number, Region region, Ear ear, Brief brief) {
    /** Whether what is known of it is final. */
    public boolean isSettled() {
      return ear == Ear.SURE;
    }
  }

  /**
   * What does not belong to a short note, in which nothing lies before or behind it that it could
   * be compared with.
   *
   * @param harshDb power of what does not repeat from 3 to 7 kHz, in dB relative to the note: of a
   *     bow or a reed that slips; NaN where it is not measured
   * @param burstDb how far what does not repeat rises for a moment while the note goes on, in dB:
   *     of a knock; 0 where it does not
   * @param againDb how far the sound rises once more when the note is over, in dB; 0 where it does
   *     not
   */
  public record Brief(double harshDb, double burstDb, double againDb) {
    /** Nothing is measured. */
    static final Brief NONE = of(ShortNote.NONE);

    private static Brief of(ShortNote note) {
      return new Brief(note.harshDb(), note.burstDb(), note.againDb());
    }
  }

  /** Who heard a sound: each later ear confirms or corrects the one before. */
  public enum Ear {
    /** 0.2 s after the sound; it may take what follows for a part of it. */
    QUICK,
    /** A second later. */
    SOON,
    /** 20 s later, as a build does. */
    SURE
  }

  /** No pause is sought in so much of a note's beginning, in seconds: its attack may be soft. */
  private static final double ATTACK_S = 0.03;

  /**
   * A word over a note comes no later after it has sunk into the room, in seconds: eight words over
   * the tails of notes came after 0.34 s at most (2026-11-30).
   */
  private static final double PAUSE_S = 0.35;

  /** That pause is sought from so long before the note is last heard, in seconds. */
  private static final double BEFORE_END_S = 0.6;

  /** What is heard again, in seconds: the room before a note of some seconds as well. */
  private static final double AGAIN_S = 20;

  /** What a later ear splits off a note is less than this share of it: it came to 0.04 at most. */
  private static final double SPLIT_OFF = 0.25;

  /** What is kept, in seconds: the last ear is some seconds more than those behind. */
  private static final double KEPT_S = 30;

  /** Notes up to this are short, in seconds: longer ones tell by themselves what comes and goes. */
  private static final double SHORT_S = 1;

  /** What is heard of a short note before and behind it, in seconds: two low periods. */
  private static final double AROUND_S = 0.05;

  private final Segmenter quick;
  private final Segmenter soon;
  private final Segmenter sure;
  private final CountIn countIn;
  private final List<HeardRegion> settled = new ArrayList<>();

  /** What the second ear said since, in the order of the take. */
  private final List<HeardRegion> confirmed = new ArrayList<>();

  /** What the first ear said since; the last may go on. */
  private final List<HeardRegion> early = new ArrayList<>();

  /** Where the last region of the second ear ended. */
  private long confirmedEnd;

  private final SegmentSettings settings;
  private final int sampleRate;
  private final LastSeconds last;
  private final WordBehind words;
  private final RoomBlows blows;
  private final PlannedPitch planned;

  private int numbers;
  private int version;

  /**
   * @param planned the low notes that may come; null where nothing is known of them
   */
  public LiveSegment(int sampleRate, int channels, SegmentSettings settings, PlannedPitch planned) {
    this.planned = planned;
    this.settings = settings;
    this.sampleRate = sampleRate;
    last = new LastSeconds(KEPT_S, sampleRate);
    words = new WordBehind(sampleRate);
    blows = new RoomBlows(sampleRate);
    countIn = new CountIn(sampleRate, this::settle);
    sure = new Segmenter(sampleRate, channels, settings, countIn);
    soon = Segmenter.soon(sampleRate, channels, settings, this::confirm);
    quick = new Segmenter(sampleRate, channels, settings, this::hear, this::hear);
  }

  /**
   * Takes frames in, in blocks of any size.
   *
   * @param channels one array a channel, full scale at ±1
   */
  public void push(float[][] channels, int count) {
    // A second at a time, so that what is kept is not run over before it is looked at.
    for (int done = 0; done < count; done += sampleRate) {
      int n = Math.min(sampleRate, count - done);
      pushPiece(n == count ? channels : piece(channels, done, n), n);
    }
  }

  private static float[][] piece(float[][] channels, int from, int count) {
    float[][] piece = new float[channels.length][];
    for (int c = 0; c < channels.length; c++) {
      piece[c] = Arrays.copyOfRange(channels[c], from, from + count);
    }
    return piece;
  }

  private void pushPiece(float[][] channels, int count) {
    last.add(channels, count);
    quick.push(channels, count);
    soon.push(channels, count);
    forget(early, soon.settled());
    sure.push(channels, count);
    forgetAll(countIn.heldFrom(sure.settled()));
  }

  /** Ends the take. */
  public void finish() {
    sure.finish();
    countIn.finish();
    forgetAll(Long.MAX_VALUE);
  }

  /** What has been heard so far, in the order of the take. */
  public List<HeardRegion> heard() {
    List<HeardRegion> all = new ArrayList<>(settled);
    all.addAll(confirmed);
    all.addAll(early);
    return all;
  }

  /** Changes whenever {@link #heard()} does. */
  public int version() {
    return version;
  }

  /** Level of the room with nobody playing so far, RMS in dBFS. */
  public double roomToneDbfs() {
    return quick.roomTone().dbfs();
  }

  /** Frames processed. */
  public long frames() {
    return quick.frames();
  }

  private void hear(Region found) {
    if (found.start() < confirmedEnd) {
      // More sound came, and the second ear knows already that it is another note.
      return;
    }
    Region region = besideRoom(named(found, quick), quick);
    int last = early.size() - 1;
    if (last >= 0 && early.get(last).region().overlaps(region)) {
      if (!early.get(last).region().equals(region)) {
        int number = early.get(last).number();
        early.set(last, said(number, region, Ear.QUICK));
        version++;
      }
    } else {
      early.add(said(++numbers, region, Ear.QUICK));
      version++;
    }
  }

  private void confirm(Region found) {
    Region region = named(found, soon);
    boolean isKnown = early.stream().anyMatch(one -> isOf(one.region(), region));
    if (region.rejected() && !isKnown && region.start() > confirmedEnd) {
      // Of a slow attack it may be the beginning of what the first ear still hears. What a note
      // goes over into is told: it may be a word.
      return;
    }
    confirmedEnd = region.end();
    Region heard =
        isBrokenInto(region)
            ? region.marked(false, Flags.with(region.flags(), Flag.DISTURBED))
            : withoutWhatFollows(region);
    confirmed.add(said(number(take(region, early)), besideRoom(heard, soon), Ear.SOON));
    version++;
  }

  /** A sound whose pitch is not sure, with that of the planned note that it must be. */
  private Region named(Region region, Segmenter ear) {
    long onset = region.onset();
    return planned != null && region.mayBe(planned) && onset >= keptFrom(ear, KEPT_S)
        ? region.named(planned.of(last.copy(onset, onset + region.heardFrames())))
        : region;
  }

  /**
   * A sound without the sharpest blow over it, where that comes as it dies away or the room has
   * such blows. A blow over a take's first note disturbs it if the room before it has none.
   */
  private Region besideRoom(Region region, Segmenter ear) {
    Blemishes blemishes = region.blemishes();
    Blemishes.Beside beside = blemishes.beside();
    FrameRange place = blemishes.places().knock();
    long blow = place == null ? -1 : (place.start() + place.end()) / 2;
    long kept = keptFrom(ear, KEPT_S);
    if (beside.knockDb() < Blemishes.Beside.KNOCK_DB || blow < kept) {
      return region;
    }
    List<Region> before =
        heard().stream()
            .map(HeardRegion::region)
            .filter(one -> one.end() <= region.start())
            .toList();
    long[][] sounds =
        before.stream().map(one -> new long[] {one.start(), one.end()}).toArray(long[][]::new);
    RoomBlows.PauseBlows room = blows.before(last, blow, region.start(), kept, sounds);
    if (room.areUsual() || blemishes.places().isKnockBehind()) {
      return region.with(blemishes.with(new Blemishes.Beside(beside.dbS(), beside.mostDb(), 0)));
    }
    return room.areNone() && before.stream().allMatch(Region::rejected)
        ? region.marked(region.rejected(), Flags.with(region.flags(), Flag.DISTURBED))
        : region;
  }

  /** The first frame that is kept for an ear, however large the pieces are that come. */
  private long keptFrom(Segmenter ear, double seconds) {
    return Math.max(0, ear.frames() + sampleRate - (long) (seconds * sampleRate));
  }

  private HeardRegion said(int number, Region region, Ear ear) {
    return new HeardRegion(number, region, ear, brief(region, ear == Ear.QUICK ? quick : soon));
  }

  /** What does not belong to a short note, as far as an ear has heard. */
  private Brief brief(Region region, Segmenter ear) {
    long around = (long) (AROUND_S * sampleRate);
    long from = Math.max(0, region.onset() - around);
    long to = Math.min(ear.frames(), region.end() + around);
    long heard = region.heardFrames();
    boolean isShort = heard > 0 && heard <= SHORT_S * sampleRate;
    if (region.pitch() == null || !isShort || from < keptFrom(ear, KEPT_S)) {
      return Brief.NONE;
    }
    int onset = (int) (region.onset() - from);
    // Its partials may be over before it is: what comes right behind them belongs to it, but for
    // the next note.
    long tail = onset + heard + (long) (RegionEnd.TAIL_S * sampleRate);
    int end = (int) Math.min(Math.min(to, region.end()) - from, tail);
    double hertz = region.pitch().frequencyHz();
    float[] sound = last.copy(from, to);
    return Brief.of(ShortNote.of(sound, onset, end, sampleRate, hertz, ear.roomTone().power()));
  }

  /**
   * Whether a word begins over a note or right behind it: what sounds there has pitches and holds
   * none, as the next note would. That it is a word is known for sure only when it has ended.
   */
  private boolean isBrokenInto(Region region) {
    long end = region.onset() + region.heardFrames();
    long word =
        settings.kind() == Kind.PITCHED && region.pitch() != null
            ? words.begin(last, end, soon.frames(), region.levelDbfs(), soon.roomTone().power())
            : -1;
    if (word < 0) {
      return false;
    }
    long before =
        Math.max(
            region.onset() + (long) (ATTACK_S * sampleRate),
            end - (long) (BEFORE_END_S * sampleRate));
    return pauses(region, before, word).longestS() < PAUSE_S;
  }

  private Pauses pauses(Region region, long from, long to) {
    double loud = Decibels.toPower(region.levelDbfs());
    return new Pauses(
        last.copy(from, Math.max(from, to)), sampleRate, soon.roomTone().power(), loud);
  }

  /**
   * A note that is over before something else begins, like a knock a third of a second behind it:
   * too soon to end its region. The note is heard again without that.
   */
  private Region withoutWhatFollows(Region region) {
    long from = keptFrom(soon, AGAIN_S);
    long onset = region.onset() + (long) (ATTACK_S * sampleRate);
    // Here too what comes when its partials are over is looked for.
    long end = region.end() - (long) (RegionEnd.TAIL_S * sampleRate);
    if (region.pitch() == null || region.start() - sampleRate < from || end <= onset) {
      return region;
    }
    int pause = pauses(region, onset, end).endBeforeMore();
    if (pause < 0) {
      return region;
    }
    List<Region> found = new ArrayList<>();
    Segmenter again = Segmenter.soon(sampleRate, 1, settings, found::add);
    float[] piece = last.copy(from, onset + pause);
    again.push(new float[][] {piece}, piece.length);
    again.finish();
    for (Region one : found) {
      Region alone = one.later(from);
      if (alone.overlaps(region)
          && alone.pitch() != null
          && alone.pitch().midi() == region.pitch().midi()) {
        return alone.marked(region.rejected(), Flags.union(alone.flags(), region.flags()));
      }
    }
    return region;
  }

  private void settle(Region region) {
    HeardRegion before = take(region, confirmed, early);
    Brief brief = before == null ? Brief.NONE : before.brief();
    settled.add(new HeardRegion(number(before), named(region, sure), Ear.SURE, brief));
    version++;
  }

  /** The number of what was said before; else a new one. */
  private int number(HeardRegion before) {
    return before == null ? ++numbers : before.number();
  }

  /** What was said of a region before, which is forgotten; null where nothing was. */
  @SafeVarargs
  private static HeardRegion take(Region region, List<HeardRegion>... before) {
    HeardRegion same = null;
    for (List<HeardRegion> heard : before) {
      for (HeardRegion one : heard) {
        boolean isMore =
            same == null || one.region().sharedFrames(region) > same.region().sharedFrames(region);
        same = isOf(one.region(), region) && isMore ? one : same;
      }
    }
    for (List<HeardRegion> heard : before) {
      heard.remove(same);
    }
    return same;
  }

  private void forgetAll(long frame) {
    forget(confirmed, frame);
    forget(early, frame);
  }

  /** Takes back what a later ear did not hear. */
  private void forget(List<HeardRegion> heard, long frame) {
    if (heard.removeIf(one -> one.region().end() <= frame)) {
      version++;
    }
  }

  /**
   * Whether a region is what was heard before, or a part of it. What a later ear splits off a note
   * and rejects, like a rail joint before it, is not that note.
   */
  static boolean isOf(Region before, Region region) {
    boolean isSplitOff = region.rejected() && !before.rejected();
    return before.overlaps(region)
        && (!isSplitOff
            || before.sharedFrames(region) >= SPLIT_OFF * (before.end() - before.start()));
  }
}
