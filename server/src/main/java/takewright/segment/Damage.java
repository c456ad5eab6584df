package takewright.segment;

/**
 * Where a take is broken: peaks cut off at full scale, and gaps in which the converter or the disk
 * fell behind. It is looked for channel by channel while the take is read, since neither can be
 * seen any more once channels are mixed.
 */
final class Damage {
  /** Samples this near to full scale are at its end, at 16 bits too. */
  private static final float FULL = 32766f / 32768;

  /** So many in a row are a peak cut off; one or two may just touch. Common practice. */
  private static final int FLAT = 3;

  /** Samples that stand still for so long, in seconds, are a gap. */
  private static final double GAP_S = 0.001;

  /** Sound this long on both sides of a gap, in seconds, says that it is one. */
  private static final double AROUND_S = 0.005;

  /** Its peak, at least: -54 dBFS. What is softer may end in silence by itself at 16 bits. */
  private static final float SOUND = 0.002f;

  /** A gap breaks off or sets in by a jump of so much: a fade into silence does not. */
  private static final float JUMP = 0.0006f;

  /** Places kept; more lie behind any region that is still to be described. */
  private static final int KEPT = 1 << 12;

  private final Channel[] channels;
  private final int gap;
  private final int around;
  private final DamagedPlaces clipped = new DamagedPlaces();
  private final DamagedPlaces gaps = new DamagedPlaces();
  private long frames;

  /** The latest places of one kind. */
  private static final class DamagedPlaces {
    private final long[] ring = new long[KEPT];
    private long count;

    void add(long frame) {
      ring[(int) (count++ % KEPT)] = frame;
    }

    int between(long from, long to) {
      int found = 0;
      for (long i = Math.max(0, count - KEPT); i < count; i++) {
        long frame = ring[(int) (i % KEPT)];
        found += frame >= from && frame < to ? 1 : 0;
      }
      return found;
    }

    /** From the first to the last of a stretch of frames; null if there is none. */
    FrameRange range(long from, long to) {
      long first = Long.MAX_VALUE;
      long last = -1;
      for (long i = Math.max(0, count - KEPT); i < count; i++) {
        long frame = ring[(int) (i % KEPT)];
        if (frame >= from && frame < to) {
          // Channels are looked at one after the other.
          first = Math.min(first, frame);
          last = Math.max(last, frame);
        }
      }
      return last < 0 ? null : new FrameRange(first, last + 1);
    }
  }

  /** What is remembered of a channel from one sample to the next. */
  private static final class Channel {
    float last;
    int full;
    int still;
    float jumpIn;

    /** Peaks of the last stretches of sound, so that one lies wholly before the gap. */
    float peakNow;

    float peakBefore;
    int inStretch;

    /** A gap that is one if sound follows; -1 for none. */
    long doubtful = -1;

    int since;
    float peakSince;
  }

  Damage(int channels, int sampleRate) {
    this.channels = new Channel[channels];
    for (int c = 0; c < channels; c++) {
      this.channels[c] = new Channel();
    }
    gap = Math.max(8, (int) (GAP_S * sampleRate));
    around = (int) (AROUND_S * sampleRate);
  }

  /** Looks at the next frames of all channels. */
  void push(float[][] audio, int offset, int count) {
    for (int c = 0; c < channels.length; c++) {
      float[] x = audio[c];
      Channel channel = channels[c];
      for (int i = 0; i < count; i++) {
        i += passOver(channel, x, offset + i, count - i);
        if (i < count) {
          look(channel, x[offset + i], frames + i);
        }
      }
    }
    frames += count;
  }

  /**
   * Passes over samples that are neither full nor still, while nothing is in doubt: what {@link
   * #look} would do, a few times as fast. Answers how many.
   */
  private int passOver(Channel c, float[] audio, int from, int most) {
    if (c.full > 0 || c.still > 0 || c.doubtful >= 0) {
      return 0;
    }
    float before = c.last;
    float last = c.last;
    float peak = c.peakNow;
    int inStretch = c.inStretch;
    int i = from;
    for (; i < from + most; i++) {
      float x = audio[i];
      float size = Math.abs(x);
      if (size >= FULL || x == last) {
        break;
      }
      before = last;
      last = x;
      if (size > peak) {
        peak = size;
      }
      if (++inStretch == around) {
        c.peakBefore = peak;
        peak = 0;
        inStretch = 0;
      }
    }
    if (i > from) {
      c.jumpIn = Math.abs(last - before);
    }
    c.last = last;
    c.peakNow = peak;
    c.inStretch = inStretch;
    return i - from;
  }

  private void look(Channel c, float x, long frame) {
    float size = Math.abs(x);
    c.full = size >= FULL ? c.full + 1 : 0;
    if (c.full == FLAT) {
      clipped.add(frame);
    }
    if (x == c.last) {
      c.still++;
    } else {
      float jump = Math.abs(x - c.last);
      if (c.still >= gap) {
        if (Math.max(c.peakNow, c.peakBefore) > SOUND && Math.max(jump, c.jumpIn) > JUMP) {
          c.doubtful = frame - c.still;
          c.since = 0;
          c.peakSince = 0;
        }
        c.peakNow = 0;
        c.peakBefore = 0;
        c.inStretch = 0;
      }
      c.still = 0;
      c.jumpIn = jump;
    }
    c.last = x;
    if (c.still < gap) {
      c.peakNow = Math.max(c.peakNow, c.still == 0 ? size : 0);
      if (++c.inStretch == around) {
        c.peakBefore = c.peakNow;
        c.peakNow = 0;
        c.inStretch = 0;
      }
    }
    if (c.doubtful >= 0) {
      c.peakSince = Math.max(c.peakSince, size);
      if (++c.since == around) {
        if (c.peakSince > SOUND) {
          gaps.add(c.doubtful);
        }
        c.doubtful = -1;
      }
    }
  }

  /** Peaks cut off in a stretch of frames. */
  int clipped(long from, long to) {
    return clipped.between(from, to);
  }

  /** From the first of these to the last; null if there is none. */
  FrameRange clippedAt(long from, long to) {
    return clipped.range(from, to);
  }

  /** Gaps that begin in it. */
  int gaps(long from, long to) {
    return gaps.between(from, to);
  }

  /** From the first of these to the last; null if there is none. */
  FrameRange gapsAt(long from, long to) {
    return gaps.range(from, to);
  }
}
