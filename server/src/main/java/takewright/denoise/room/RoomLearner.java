package takewright.denoise.room;

import java.io.IOException;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import takewright.audio.AudioSource;
import takewright.audio.Clip;
import takewright.denoise.band.StftSize;
import takewright.denoise.band.ThirdOctaves;
import takewright.dsp.Decibels;
import takewright.dsp.Fft;
import takewright.dsp.Selection;
import takewright.dsp.Windows;

/**
 * Learns the noise of a room from a take: its colour, how its level moves, and how restless it is.
 *
 * <p>Room tone is either given, stretch by stretch, or found by {@link PauseFinder} while a take is
 * read once. Of all of it the levels of the bands are kept, and of some seconds, spread over the
 * take, the audio. Memory is bounded whatever the length of the take.
 */
public final class RoomLearner {
  /** Audio kept of a piece of a take, in half frames: a second of its quietest. */
  private static final int STRETCH = 12;

  /** Frames of a stretch by whose level the quietest is chosen. */
  private static final int COUNTED = 8;

  /** Half frames of a piece. */
  private static final int PIECE = 16;

  /** Half frames that one knot of the track is a mean of, at most. */
  private static final int KNOT = 12;

  /**
   * Variance in dB² of the logarithm of Gaussian noise in one bin, and what neighbouring bins have
   * in common under a Hann window.
   */
  static final double VARIANCE_OF_BIN = 31 * 1.7;

  /** What moves from moment to moment is alike over this many half frames. */
  private static final int ALIKE_FRAMES = 3;

  /** RMS below which a frame is digital silence: far below the last bit of 24. */
  private static final double SILENCE_DBFS = -150;

  private final int sampleRate;
  private final int channels;
  private final int size;
  private final int hop;
  private final Fft fft;
  private final float[] window;
  private final double windowPower;
  private final float[][] frame;
  private final float[] packed;
  private final float[] single;
  private final float[] power;
  private final ThirdOctaves bands;
  private final float[] levels;
  private final float[] rough;
  private final FrameLevels heard;

  /** What was heard between added stretches where the room leaps; null if nothing was. */
  private FrameLevels between;

  private final Stretches stretches = new Stretches();

  /** The last blocks of a take that is listened to, and the levels of the frames they end. */
  private final float[][][] recent;

  private final float[] recentLevels = new float[STRETCH];
  private final float[] sorted = new float[STRETCH - 1];
  private long blocks;
  private double quietestOfPiece = Double.POSITIVE_INFINITY;
  private KeptAudio best;

  /** Frames of a take from one to before another, between two stretches of room tone. */
  public record Between(long start, long end) {}

  /** A stretch of the take, kept with its level. */
  record KeptAudio(Clip audio, long start, double level) {}

  /** For room tone, or a take, of this rate and this many channels. */
  public RoomLearner(int sampleRate, int channels) {
    this.sampleRate = sampleRate;
    this.channels = channels;
    size = StftSize.size(sampleRate);
    hop = size / 2;
    fft = Fft.of(size);
    window = Windows.hann(size);
    windowPower = Windows.power(window);
    frame = new float[channels][size];
    packed = new float[size];
    single = new float[fft.bins()];
    power = new float[fft.bins()];
    bands = new ThirdOctaves(fft.bins());
    levels = new float[bands.count()];
    rough = new float[bands.count()];
    heard = new FrameLevels(bands.count());
    recent = new float[STRETCH][channels][hop];
  }

  /**
   * Adds a stretch that is room tone for sure. Stretches shorter than 20 ms are skipped; half a
   * second and more is best.
   *
   * @param start its first frame in the take; later than those of stretches added before
   */
  public void add(Clip roomTone, long start) {
    if (roomTone.frames() < Math.max(2, sampleRate / 50)) {
      return;
    }
    double sum = 0;
    int n = 0;
    for (int from = 0; from + size <= roomTone.frames(); from += hop) {
      for (int c = 0; c < channels; c++) {
        System.arraycopy(roomTone.channel(c), from, frame[c], 0, size);
      }
      double level = hear(start + from + hop, heard);
      sum += level;
      n++;
    }
    stretches.add(new KeptAudio(roomTone, start, n == 0 ? 0 : sum / n));
  }

  /**
   * Where the level of the whole room leaps between stretches that were added; {@link #hearBetween}
   * then tells when it does.
   *
   * @return a stretch for each leap, in the order of the take
   */
  public List<Between> leaps() {
    boolean[] pause = new boolean[heard.count()];
    Arrays.fill(pause, true);
    List<int[]> knots = knots(pause);
    List<Between> leaps = new ArrayList<>();
    if (knots.size() > 1) {
      RoomWalk walk = walk(knots, spread(knots));
      for (int i = 0; i + 1 < knots.size(); i++) {
        if (walk.leap()[i] != 0) {
          leaps.add(new Between(walk.at()[i], walk.at()[i + 1]));
        }
      }
    }
    return leaps;
  }

  /**
   * Listens to what lies between two stretches, notes and all, for when the room leaps there.
   *
   * @param take stands at the first frame of that
   * @param stretch not before one that was heard already
   */
  public void hearBetween(AudioSource take, Between stretch) throws IOException {
    between = between == null ? new FrameLevels(bands.count()) : between;
    float[][] block = new float[channels][hop];
    for (long at = stretch.start; at + hop <= stretch.end && fill(take, block); at += hop) {
      push(block);
      if (at > stretch.start) {
        hear(at, between);
      }
    }
  }

  /** Listens to a take to its end, to find its room tone. */
  void listen(AudioSource take) throws IOException {
    float[][] block = new float[channels][hop];
    while (fill(take, block)) {
      listen(block);
    }
    closePiece();
  }

  /** Reads a whole block; answers whether there was one. */
  private boolean fill(AudioSource take, float[][] block) throws IOException {
    int n = 0;
    for (int got; n < hop && (got = take.read(block, n, hop - n)) >= 0; ) {
      n += got;
    }
    return n == hop;
  }

  /** Moves the frame on by a block. */
  private void push(float[][] block) {
    for (int c = 0; c < channels; c++) {
      System.arraycopy(frame[c], hop, frame[c], 0, hop);
      System.arraycopy(block[c], 0, frame[c], hop, hop);
    }
  }

  private void listen(float[][] block) {
    int slot = (int) (blocks % STRETCH);
    push(block);
    for (int c = 0; c < channels; c++) {
      System.arraycopy(block[c], 0, recent[slot][c], 0, hop);
    }
    recentLevels[slot] = blocks == 0 ? Float.NaN : (float) hear(blocks * hop, heard);
    blocks++;
    if (blocks < STRETCH) {
      return;
    }
    // The first of the blocks ends a frame that begins before them. The loudest frames do not
    // count: what clatters in a pause is the room's too.
    for (int i = 1; i < STRETCH; i++) {
      sorted[i - 1] = recentLevels[(int) ((blocks + i) % STRETCH)];
    }
    Arrays.sort(sorted);
    double sum = 0;
    for (int i = 0; i < COUNTED; i++) {
      sum += sorted[i];
    }
    if (sum < quietestOfPiece) {
      quietestOfPiece = sum;
      best = keepRecent(sum / COUNTED);
    }
    if (blocks % PIECE == 0) {
      closePiece();
    }
  }

  private KeptAudio keepRecent(double level) {
    float[][] audio = new float[channels][STRETCH * hop];
    for (int i = 0; i < STRETCH; i++) {
      for (int c = 0; c < channels; c++) {
        System.arraycopy(recent[(int) ((blocks + i) % STRETCH)][c], 0, audio[c], i * hop, hop);
      }
    }
    return new KeptAudio(Clip.of(sampleRate, audio), (blocks - STRETCH) * hop, level);
  }

  private void closePiece() {
    if (best != null) {
      stretches.add(best);
      best = null;
      quietestOfPiece = Double.POSITIVE_INFINITY;
    }
  }

  /** Takes note of the frame; answers the mean level of its bands, in dB. */
  private double hear(long middle, FrameLevels heard) {
    Arrays.fill(power, 0);
    for (int c = 0; c < channels; c++) {
      float[] x = frame[c];
      for (int i = 0; i < size; i++) {
        packed[i] = Math.abs(x[i]) <= Float.MAX_VALUE ? x[i] * window[i] : 0;
      }
      fft.forward(packed);
      fft.power(packed, single);
      for (int k = 0; k < power.length; k++) {
        power[k] += single[k] / channels;
      }
    }
    double dbfs = Decibels.fromPower(meanSquare(power));
    if (!(dbfs > SILENCE_DBFS)) {
      return Double.NaN;
    }
    bands.meanLogarithms(power, levels);
    double mean = 0;
    for (int b = 0; b < levels.length; b++) {
      double sum = 0;
      int to = bands.to(b);
      for (int k = bands.from(b); k < to; k++) {
        sum += power[k];
      }
      rough[b] = (float) (Decibels.fromPower(sum / bands.width(b) + 1e-30)) - levels[b];
      mean += levels[b];
    }
    heard.add(middle, levels, rough, dbfs);
    return mean / levels.length;
  }

  /** The mean square of the samples behind a spectrum under the window. */
  private double meanSquare(float[] spectrum) {
    double total = 0;
    for (int k = 1; k < spectrum.length - 1; k++) {
      total += 2 * spectrum[k];
    }
    total += spectrum[0] + spectrum[spectrum.length - 1];
    return total / (size * windowPower);
  }

  /** The profile of room tone that was added for sure; null if there is none. */
  public NoiseProfile profile() {
    boolean[] pause = new boolean[heard.count()];
    Arrays.fill(pause, true);
    return profile(pause, true);
  }

  /** The same where nothing is known of when the stretches were heard. */
  NoiseProfile profileWithoutTimes() {
    boolean[] pause = new boolean[heard.count()];
    Arrays.fill(pause, true);
    return profile(pause, false);
  }

  /** The profile of the take that was listened to; one that knows no noise where none was found. */
  NoiseProfile profileOfPauses() {
    boolean[] pause = new PauseFinder(heard, sampleRate, hop).find();
    if (pause == null) {
      return NoiseProfile.unknown(sampleRate, fft.bins());
    }
    List<int[]> knots = knots(pause);
    new TailFinder(heard, knots, walk(knots, spread(knots))).takeOut(pause);
    stretches.keepOnly(heard, pause, size, hop * heard.every());
    NoiseProfile profile = profile(pause, true);
    return profile == null ? NoiseProfile.unknown(sampleRate, fft.bins()) : profile;
  }

  private NoiseProfile profile(boolean[] pause, boolean follow) {
    if (stretches.all().isEmpty()) {
      return null;
    }
    RoomTrack track = track(pause, follow);
    return new RoomMeasurement(sampleRate, channels, bands, track).of(stretches.all());
  }

  private RoomTrack track(boolean[] pause, boolean follow) {
    List<int[]> knots = knots(pause);
    float[] spread = spread(knots);
    if (!follow || knots.size() < 2) {
      return RoomTrack.steady(sampleRate, spread);
    }
    RoomWalk walk = walk(knots, spread);
    LeapFinder finder =
        new LeapFinder(between == null ? heard : between, sampleRate, bands, spread);
    return RoomTrack.through(sampleRate, walk, finder.leaps(walk), spread);
  }

  /** The first frame of each knot, and how many it has. */
  private List<int[]> knots(boolean[] pause) {
    List<int[]> knots = new ArrayList<>();
    for (int i = 0; i < pause.length; ) {
      int n = 0;
      while (n < KNOT && i + n < pause.length && pause[i + n] && isNext(i, n)) {
        n++;
      }
      if (n > 0) {
        knots.add(new int[] {i, n});
      }
      i += Math.max(1, n);
    }
    return knots;
  }

  private RoomWalk walk(List<int[]> knots, float[] spread) {
    long[] at = new long[knots.size()];
    float[][] level = new float[at.length][spread.length];
    float[][] noise = new float[at.length][spread.length];
    for (int i = 0; i < at.length; i++) {
      int from = knots.get(i)[0];
      int n = knots.get(i)[1];
      at[i] = (heard.at(from) + heard.at(from + n - 1)) / 2;
      for (int b = 0; b < spread.length; b++) {
        level[i][b] = (float) mean(from, n, b);
        double moves = spread[b] * spread[b] / Math.max(1, (double) n / ALIKE_FRAMES);
        noise[i][b] = (float) (VARIANCE_OF_BIN / bands.width(b) / n + moves);
      }
    }
    return RoomWalk.of(at, level, noise);
  }

  private boolean isNext(int first, int n) {
    return n == 0 || heard.at(first + n) - heard.at(first + n - 1) <= 2L * hop * heard.every();
  }

  private double mean(int from, int n, int band) {
    double sum = 0;
    for (int i = from; i < from + n; i++) {
      sum += heard.level(i, band);
    }
    return sum / n;
  }

  /** How far the level of each band goes within knots, beyond what noise does by chance; in dB. */
  private float[] spread(List<int[]> knots) {
    float[] spread = new float[bands.count()];
    float[] variances = new float[knots.size()];
    for (int b = 0; b < spread.length; b++) {
      int n = 0;
      for (int[] knot : knots) {
        if (knot[1] >= ALIKE_FRAMES) {
          double mean = mean(knot[0], knot[1], b);
          double squares = 0;
          for (int i = knot[0]; i < knot[0] + knot[1]; i++) {
            squares += Math.pow(heard.level(i, b) - mean, 2);
          }
          variances[n++] = (float) (squares / (knot[1] - 1));
        }
      }
      double byChance = VARIANCE_OF_BIN / bands.width(b);
      // The median, since a tail that is left in one pause is not the room; by chance it is off.
      double variance = n == 0 ? 0 : Selection.median(variances, n);
      double doubt = byChance * Math.sqrt(2.0 / Math.max(1, n * ALIKE_FRAMES));
      spread[b] = (float) Math.sqrt(Math.max(0, variance - byChance - doubt));
    }
    return spread;
  }
}
