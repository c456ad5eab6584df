package takewright.denoise;

import java.io.IOException;
import java.util.Arrays;
import takewright.audio.AudioSource;
import takewright.dsp.Decibels;
import takewright.dsp.Fft;

/**
 * Audio with its noise taken out as it is read: short-time spectra are weighed and added up again,
 * under a Hann window both ways. It reads ahead by about half a second.
 *
 * <p>Between the room and a note's start the two are faded over, see {@link AttackFinder}.
 */
final class DenoisedSource implements AudioSource {
  /** Blocks read beyond the one that is given out. */
  private static final int READ_AHEAD = GainEstimator.LATENCY + Resolution.OVERLAP - 1;

  /** Blocks that wait until the detail of an attack in them can be put in. */
  private static final int WAIT = 6;

  /** From the room at its floor to the note: too short to hear noise in, too long to click. */
  private static final double FADE_S = 0.02;

  private final AudioSource in;
  private final int channels;

  /** Samples of a transform, from one frame to the next, and under the window. */
  private final int size;

  private final int hop;
  private final int length;
  private final float[] window;

  /** The window after the transform back, scaled so that all frames add up to the input. */
  private final float[] synthesis;

  /** Both windows and the floor. */
  private final float[] roomWindow;

  private final float[] piece;
  private final float[] pieceWindow;
  private final float[] pieceSum;
  private final NoiseProfile profile;
  private final GainEstimator estimator;

  /** Of the room as it is now. */
  private float[] inverseNoise;

  private AttackFinder attacks;
  private AttackDetail detail;
  private int room = -1;
  private final float floor;
  private final int fade;

  private final float[][] input;

  /** The input of the last blocks: sample n of the audio stands at n modulo the length. */
  private final float[][] past;

  private final float[][] output;

  /** The result, as {@link #past} holds the input. */
  private final float[][] result;

  private final float[][][] spectra;
  private final float[] ratios;
  private final float[] gains;
  private final float[][] block;

  private long framesIn;
  private long framesOut;

  /** Blocks of the result that are there, without the detail of attacks. */
  private long blocks;

  private boolean ended;

  /** Frames whose spectrum was taken. */
  private long pushed;

  /** Whether the last gains let through more than the floor. */
  private boolean sounds;

  private int quietFrames = Resolution.OVERLAP;

  /** The last note's start, in frames of the audio. */
  private long attack;

  /** Whether its detail is still to be put in. */
  private boolean detailDue;

  /** What of the block is still to be read. */
  private int at;

  private int end;

  DenoisedSource(AudioSource in, double amountDb, NoiseProfile profile) {
    this.in = in;
    channels = in.channels();
    size = Resolution.size(in.sampleRate());
    hop = Resolution.hop(size);
    window = Resolution.window(size);
    length = window.length;
    int bins = size / 2 + 1;
    this.profile = profile;
    floor = (float) Decibels.toAmplitude(-amountDb);
    synthesis = new float[length];
    roomWindow = new float[length];
    for (int i = 0; i < length; i++) {
      synthesis[i] = window[i] / Resolution.SUM;
      roomWindow[i] = window[i] * synthesis[i] * floor;
    }
    piece = new float[hop];
    pieceWindow = new float[hop];
    pieceSum = new float[hop];
    estimator = new GainEstimator(bins, floor);
    fade = (int) (FADE_S * in.sampleRate());
    past = new float[channels][Integer.highestOneBit(2 * (READ_AHEAD + WAIT + 1) * hop)];
    result = new float[channels][past[0].length];
    input = new float[channels][length];
    output = new float[channels][length];
    spectra = new float[GainEstimator.LATENCY + 1][channels][size];
    ratios = new float[bins];
    gains = new float[bins];
    block = new float[channels][hop];
    enter(0);
  }

  /** Takes the noise of a room to be the noise from now on. */
  private void enter(int next) {
    if (next == room) {
      return;
    }
    room = next;
    inverseNoise = profile.room(room).inversePower();
    for (int k = 0; k < inverseNoise.length; k++) {
      inverseNoise[k] /= channels;
    }
    attacks = new AttackFinder(profile.room(room).power(), channels);
    detail = new AttackDetail(attacks.inverseNoise(), in.sampleRate(), floor);
  }

  @Override
  public int sampleRate() {
    return in.sampleRate();
  }

  @Override
  public int channels() {
    return channels;
  }

  @Override
  public long frames() {
    return in.frames();
  }

  @Override
  public int read(float[][] planar, int offset, int count) throws IOException {
    if (count == 0) {
      return 0;
    }
    Fft fft = Fft.of(size);
    while (at == end) {
      if (ended && framesOut >= framesIn) {
        return -1;
      }
      fill();
      analyse(fft);
      if (pushed >= GainEstimator.LATENCY) {
        synthesise(fft);
      }
      if (pushed >= READ_AHEAD) {
        // So much has been read ahead that a block is whole, or the end is known.
        holdFloor(blocks * hop);
        keep();
        if (blocks > WAIT) {
          release();
        }
      }
      pushed++;
    }
    int n = Math.min(count, end - at);
    for (int c = 0; c < channels; c++) {
      System.arraycopy(block[c], at, planar[c], offset, n);
    }
    at += n;
    framesOut += n;
    return n;
  }

  /** Puts the block to the result, and an attack's detail as soon as all that it needs is there. */
  private void keep() {
    for (int c = 0; c < channels; c++) {
      put(block[c], 0, result[c], blocks * hop);
    }
    blocks++;
    if (detailDue && attack + AttackDetail.reach(in.sampleRate()) <= blocks * hop) {
      detail.add(past, result, attack);
      detailDue = false;
    }
  }

  private void release() {
    for (int c = 0; c < channels; c++) {
      take(result[c], framesOut, block[c]);
    }
    at = 0;
    end = (int) Math.min(hop, framesIn - framesOut);
  }

  /** Moves the input on by a hop; silence follows its end. */
  private void fill() throws IOException {
    for (float[] x : input) {
      System.arraycopy(x, hop, x, 0, length - hop);
    }
    int n = 0;
    while (!ended && n < hop) {
      int got = in.read(input, length - hop + n, hop - n);
      if (got < 0) {
        ended = true;
      } else {
        n += got;
      }
    }
    framesIn += n;
    for (float[] x : input) {
      Arrays.fill(x, length - hop + n, length, 0);
      for (int i = length - hop; i < length; i++) {
        // Not a number, or infinite: one such sample would spread over a whole frame.
        x[i] = Math.abs(x[i]) <= Float.MAX_VALUE ? x[i] : 0;
      }
    }
    for (int c = 0; c < channels; c++) {
      put(input[c], length - hop, past[c], pushed * hop);
    }
  }

  private void analyse(Fft fft) {
    enter(profile.roomAt((pushed + 1) * hop - length / 2));
    float[][] spectrum = spectra[(int) (pushed % spectra.length)];
    Arrays.fill(ratios, 0);
    for (int c = 0; c < channels; c++) {
      float[] y = spectrum[c];
      float[] x = input[c];
      for (int i = 0; i < length; i++) {
        y[i] = x[i] * window[i];
      }
      Arrays.fill(y, length, size, 0);
      fft.forward(y);
      addRatios(y);
    }
    sounds = estimator.next(ratios, gains);
    if (pushed >= GainEstimator.LATENCY) {
      watchForAttack(pushed - GainEstimator.LATENCY);
    }
  }

  private void addRatios(float[] packed) {
    int half = size / 2;
    ratios[0] += packed[0] * packed[0] * inverseNoise[0];
    ratios[half] += packed[1] * packed[1] * inverseNoise[half];
    for (int k = 1; k < half; k++) {
      float re = packed[2 * k];
      float im = packed[2 * k + 1];
      ratios[k] += (re * re + im * im) * inverseNoise[k];
    }
  }

  /** Where a note begins after nothing but room tone, finds from where on it is to be heard. */
  private void watchForAttack(long frame) {
    if (!sounds) {
      quietFrames++;
      return;
    }
    if (quietFrames >= Resolution.OVERLAP) {
      long from = Math.max(0, (frame + 1) * hop - length);
      attack = attacks.find(past, from, (pushed + 1) * hop);
      detailDue = attack > from;
    }
    quietFrames = 0;
  }

  /** Up to an attack the room stays at its floor, whatever the long frames let through. */
  private void holdFloor(long from) {
    for (int i = 0; i < hop && from + i < attack; i++) {
      float x = Math.min(1, (float) (attack - from - i) / fade);
      float hold = x * x * (3 - 2 * x);
      for (int c = 0; c < channels; c++) {
        float room = floor * past[c][(int) (from + i) & (past[c].length - 1)];
        block[c][i] += hold * (room - block[c][i]);
      }
    }
  }

  /** Adds the frame up that the gains have just been found for. */
  private void synthesise(Fft fft) {
    long frame = pushed - GainEstimator.LATENCY;
    for (int c = 0; c < channels; c++) {
      float[] sum = output[c];
      if (sounds) {
        addWeighed(spectra[(int) (frame % spectra.length)][c], fft, sum);
      } else {
        addRoom(past[c], (frame + 1) * hop - length, sum);
      }
      System.arraycopy(sum, 0, block[c], 0, hop);
      System.arraycopy(sum, hop, sum, 0, length - hop);
      Arrays.fill(sum, length - hop, length, 0);
    }
  }

  private void addWeighed(float[] y, Fft fft, float[] sum) {
    int half = size / 2;
    y[0] *= gains[0];
    y[1] *= gains[half];
    for (int k = 1; k < half; k++) {
      y[2 * k] *= gains[k];
      y[2 * k + 1] *= gains[k];
    }
    fft.inverse(y);
    for (int i = 0; i < length; i++) {
      sum[i] += y[i] * synthesis[i];
    }
  }

  /** Where all gains are the floor the frame is the input itself, only softer. */
  private void addRoom(float[] x, long from, float[] sum) {
    for (int part = 0; part < length; part += hop) {
      take(x, from + part, piece);
      System.arraycopy(roomWindow, part, pieceWindow, 0, hop);
      System.arraycopy(sum, part, pieceSum, 0, hop);
      for (int i = 0; i < hop; i++) {
        pieceSum[i] += piece[i] * pieceWindow[i];
      }
      System.arraycopy(pieceSum, 0, sum, part, hop);
    }
  }

  /** Copies a hop of samples to where frames from {@code to} on stand in a ring. */
  private void put(float[] from, int at, float[] ring, long to) {
    int start = (int) to & (ring.length - 1);
    int first = Math.min(hop, ring.length - start);
    System.arraycopy(from, at, ring, start, first);
    System.arraycopy(from, at + first, ring, 0, hop - first);
  }

  /** Copies a hop of samples from a ring. */
  private void take(float[] ring, long from, float[] to) {
    int start = (int) from & (ring.length - 1);
    int first = Math.min(hop, ring.length - start);
    System.arraycopy(ring, start, to, 0, first);
    System.arraycopy(ring, 0, to, first, hop - first);
  }

  @Override
  public void close() throws IOException {
    in.close();
  }
}
