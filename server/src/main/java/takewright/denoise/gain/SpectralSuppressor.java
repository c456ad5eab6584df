package takewright.denoise.gain;

import java.io.IOException;
import java.util.Arrays;
import takewright.audio.AudioSource;
import takewright.denoise.band.StftSize;
import takewright.denoise.band.ThirdOctaves;
import takewright.denoise.hum.ToneTracker;
import takewright.denoise.room.LevelFollower;
import takewright.denoise.room.NoiseProfile;
import takewright.denoise.room.RoomLevel;
import takewright.denoise.stage.CleaningStage;
import takewright.dsp.Decibels;
import takewright.dsp.Fft;

/**
 * Audio with its noise taken out as it is read: short-time spectra are freed of the tones of
 * machines, weighed and added up again, under a Hann window both ways. It reads ahead by about 0.7
 * s.
 *
 * <p>Between the room and a note's start the two are faded over, see {@link AttackFinder} and
 * {@link FloorHold}.
 */
public final class SpectralSuppressor extends CleaningStage {
  /** Frames from one that is read to the one whose gains are known. */
  private static final int LATENCY = GainEstimator.LATENCY + LevelFollower.LATENCY;

  /** Blocks read beyond the one that is given out. */
  private static final int READ_AHEAD = LATENCY + StftSize.OVERLAP - 1;

  /**
   * Blocks that wait until the detail of an attack in them can be put in, and until it is known
   * that a pause before the next note lies in them: as many as the gains are late.
   */
  private static final int WAIT = 13;

  /**
   * Blocks in which the end of a note is looked for: in more, reverberation was taken for clatter.
   */
  private static final int TAIL = 6;

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
  private final RoomLevel room;
  private final ToneTracker tones;
  private final GainEstimator estimator;
  private final AttackFinder attacks;
  private final AttackDetail detail;
  private final RiseDetector rises;
  private final FaintTail tail;
  private final float[] noise;
  private final float floor;
  private final FloorHold hold;

  private final float[][] input;

  /** The input of the last blocks: sample n of the audio stands at n modulo the length. */
  private final float[][] past;

  private final float[][] output;

  /** The result, as {@link #past} holds the input. */
  private final float[][] result;

  private final float[][][] spectra;
  private final float[][] ratios;
  private final float[] gains;

  /** Blocks of the result that are there, without the detail of attacks. */
  private long blocks;

  /** Frames of audio that have been read. */
  private long frames;

  /** Frames whose spectrum was taken. */
  private long pushed;

  /** Whether the last gains let through more than the floor. */
  private boolean sounds;

  private int quietFrames = StftSize.OVERLAP;

  /** Whether nothing that sounds since it was quiet is more than a clatter. */
  private boolean isClatter;

  /** The last note's start, in frames of the audio. */
  private long attack;

  /** Whether its detail is still to be put in. */
  private boolean detailDue;

  /** The start of a note in what sounds whose detail is still to be put in; -1 if none is. */
  private long rise = -1;

  public SpectralSuppressor(AudioSource source, double amountDb, NoiseProfile profile) {
    super(source, StftSize.hop(StftSize.size(source.sampleRate())));
    size = StftSize.size(source.sampleRate());
    hop = StftSize.hop(size);
    window = StftSize.window(size);
    length = window.length;
    int bins = size / 2 + 1;
    floor = (float) Decibels.toAmplitude(-amountDb);
    synthesis = synthesis(window);
    roomWindow = roomWindow(window, synthesis, floor);
    piece = new float[hop];
    pieceWindow = new float[hop];
    pieceSum = new float[hop];
    ThirdOctaves bands = new ThirdOctaves(bins);
    room = new RoomLevel(profile, bands, channels);
    tones = new ToneTracker(profile.tonesHz(), source.sampleRate(), size, hop, channels);
    estimator = new GainEstimator(bins, floor, profile.spreadFactors(), bands, 1);
    attacks = new AttackFinder(source.sampleRate(), bins, profile.spreadFactors(), bands);
    detail =
        new AttackDetail(
            attacks.inverseNoise(),
            source.sampleRate(),
            floor,
            profile.spreadFactors(),
            bands,
            channels);
    noise = new float[bins];
    rises = new RiseDetector(bands.count());
    tail = new FaintTail(estimator.near().length);
    past = new float[channels][Integer.highestOneBit(2 * (READ_AHEAD + WAIT + 1) * hop)];
    result = new float[channels][past[0].length];
    hold = new FloorHold(past, result, floor, source.sampleRate());
    input = new float[channels][length];
    output = new float[channels][length];
    spectra = new float[LATENCY + 1][channels][size];
    ratios = new float[LevelFollower.LATENCY + 1][bins];
    gains = new float[bins];
  }

  /** Apart, for a loop in the constructor would have the JIT compile all of it, for 0.7 s. */
  private static float[] synthesis(float[] window) {
    float[] synthesis = new float[window.length];
    for (int i = 0; i < synthesis.length; i++) {
      synthesis[i] = window[i] / StftSize.SUM;
    }
    return synthesis;
  }

  private static float[] roomWindow(float[] window, float[] synthesis, float floor) {
    float[] room = new float[window.length];
    for (int i = 0; i < room.length; i++) {
      room[i] = window[i] * synthesis[i] * floor;
    }
    return room;
  }

  @Override
  protected void next() throws IOException {
    Fft fft = Fft.of(size);
    fillInput();
    analyse(fft);
    if (pushed >= LATENCY) {
      synthesise(fft);
    }
    if (pushed >= READ_AHEAD) {
      // So much has been read ahead that a block is whole, or the end is known.
      keep();
      if (blocks > WAIT) {
        for (int c = 0; c < channels; c++) {
          Ring.take(result[c], (blocks - WAIT - 1) * hop, block[c], hop);
        }
        give(0);
      }
    }
    pushed++;
  }

  /** The room, as it was expected and heard. */
  public RoomLevel room() {
    return room;
  }

  /** Puts the block to the result, and an attack's detail as soon as all that it needs is there. */
  private void keep() {
    for (int c = 0; c < channels; c++) {
      Ring.put(block[c], 0, hop, result[c], blocks * hop);
    }
    hold.apply(blocks * hop, (blocks + 1) * hop);
    blocks++;
    if (detailDue && attack + AttackDetail.reach(sampleRate()) <= blocks * hop) {
      detail.add(past, result, attack, false);
      detailDue = false;
    }
    if (rise >= 0 && rise + AttackDetail.reach(sampleRate()) <= blocks * hop) {
      detail.add(past, result, rise, true);
      rise = -1;
    }
  }

  /** Moves the input on by a hop; silence follows its end. */
  private void fillInput() throws IOException {
    int n = fill(block);
    frames += n;
    for (int c = 0; c < channels; c++) {
      float[] x = input[c];
      System.arraycopy(x, hop, x, 0, length - hop);
      System.arraycopy(block[c], 0, x, length - hop, n);
      Arrays.fill(x, length - hop + n, length, 0);
      for (int i = length - hop; i < length; i++) {
        // Not a number, or infinite: one such sample would spread over a whole frame.
        x[i] = Math.abs(x[i]) <= Float.MAX_VALUE ? x[i] : 0;
      }
      Ring.put(x, length - hop, hop, past[c], pushed * hop);
    }
  }

  private void analyse(Fft fft) {
    room.next((pushed + 1) * hop - length / 2);
    float[][] spectrum = spectra[(int) (pushed % spectra.length)];
    float[] ratio = ratios[(int) (pushed % ratios.length)];
    Arrays.fill(ratio, 0);
    // All that is behind the end of the audio has nothing to transform.
    boolean isSilence = (pushed + 1) * hop - length >= frames;
    for (int c = 0; c < channels; c++) {
      float[] y = spectrum[c];
      float[] x = input[c];
      if (isSilence) {
        Arrays.fill(y, 0);
        continue;
      }
      for (int i = 0; i < length; i++) {
        y[i] = x[i] * window[i];
      }
      Arrays.fill(y, length, size, 0);
      fft.forward(y);
      addRatios(y, room.expected(), ratio);
    }
    if (frames < (pushed + 1) * hop && pushed > 0) {
      letNothingBegin(ratio, ratios[(int) ((pushed - 1) % ratios.length)]);
    }
    tones.add(spectrum, room.expected(), room.mayHaveLeapt());
    room.hear(ratio);
    if (pushed < LevelFollower.LATENCY) {
      return;
    }
    float[] level = ratios[(int) ((pushed - LevelFollower.LATENCY) % ratios.length)];
    room.correct(level, estimator.isInNote());
    sounds = estimator.next(level, gains);
    if (pushed >= LATENCY) {
      watchForAttack(pushed - LATENCY);
    }
  }

  /**
   * Holds a frame that the audio ends in to what the one before it has. An abrupt end looks like a
   * click, whose gains let the room through for the last 20 ms.
   */
  private static void letNothingBegin(float[] ratio, float[] before) {
    for (int k = 0; k < ratio.length; k++) {
      ratio[k] = Math.min(ratio[k], before[k]);
    }
  }

  private void addRatios(float[] packed, float[] inverseNoise, float[] ratio) {
    int half = size / 2;
    ratio[0] += packed[0] * packed[0] * inverseNoise[0];
    ratio[half] += packed[1] * packed[1] * inverseNoise[half];
    for (int k = 1; k < half; k++) {
      float re = packed[2 * k];
      float im = packed[2 * k + 1];
      ratio[k] += (re * re + im * im) * inverseNoise[k];
    }
  }

  /** Where a note begins after nothing but room tone, finds from where on it is to be heard. */
  private void watchForAttack(long frame) {
    if (!sounds) {
      if (quietFrames++ == 0) {
        holdAfter(frame);
      }
      return;
    }
    if (quietFrames > 0) {
      long from = Math.max(0, (frame + 1) * hop - length);
      expectNoise(LATENCY + StftSize.OVERLAP - 1);
      long seen = from + (long) estimator.framesToNote() * hop;
      begin(attacks.find(past, from, (pushed + 1) * hop, seen), from);
      isClatter = attacks.isClatter();
      hold.until(attack);
      tail.reset();
    } else if (estimator.isPlain() && tail.mayHavePaused() && !detailDue) {
      watchForPause(frame);
    }
    tail.next(estimator.near(), estimator.isPlain());
    quietFrames = 0;
    watchForRise(frame);
  }

  private void expectNoise(int ago) {
    room.noise(ago, noise);
    attacks.expect(noise);
  }

  private void begin(long at, long from) {
    attack = at;
    detailDue = attack > from;
    rises.reset();
  }

  /**
   * Keeps the room at its floor in a pause between two notes whose long frames meet: where the tail
   * of the one is over before the other begins, or something clatters between.
   */
  private void watchForPause(long frame) {
    long from = Math.max(firstHeld(), (frame - tail.faintFrames() - 1) * hop);
    expectNoise(LATENCY + 1);
    long quiet = attacks.findQuiet(past, Math.max(attack, from), frame * hop);
    if (quiet < 0) {
      return;
    }
    long next = attacks.find(past, quiet, (pushed + 1) * hop, quiet);
    int over = tail.overFrames();
    long end = attacks.hasSkipped() ? quiet : Math.max(quiet, (frame - over - 1) * hop);
    if ((attacks.hasSkipped() || over > 0) && end < next && attacks.isNote()) {
      begin(next, end);
      hold.between(end, next);
      hold.apply(firstHeld(), blocks * hop);
    }
  }

  /** The first frame of the result that can still be changed. */
  private long firstHeld() {
    return Math.max(0, blocks - WAIT) * hop;
  }

  /** Where a note begins while another rings on, finds where its detail is to be put in. */
  private void watchForRise(long frame) {
    boolean begun = attack + AttackDetail.reach(sampleRate()) > (frame - 1) * hop;
    if (rises.rises(estimator.ofBands()) && !begun && rise < 0) {
      room.noise(LATENCY + StftSize.OVERLAP - 1, noise);
      attacks.expect(noise);
      rise = attacks.findRise(past, (frame - 1) * hop, (frame + 1) * hop);
      rises.reset();
    }
  }

  /** Keeps the room at its floor after a note that is over before all sound is. */
  private void holdAfter(long frame) {
    expectNoise(LATENCY + 1);
    long to = frame * hop;
    long from = Math.max(0, blocks - TAIL) * hop;
    long found = attacks.findEnd(past, Math.max(from, attack), to);
    if (isClatter && attack - hold.fade() >= firstHeld()) {
      detailDue = false;
      found = attack - hold.fade();
    }
    if (found < to) {
      hold.after(found);
      hold.apply(firstHeld(), blocks * hop);
    }
  }

  /** Adds the frame up that the gains have just been found for. */
  private void synthesise(Fft fft) {
    long frame = pushed - LATENCY;
    if (sounds) {
      float[][] spectrum = spectra[(int) (frame % spectra.length)];
      tones.subtract(LATENCY, spectrum, estimator.ratios(), gains, floor);
    }
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
      Ring.take(x, from + part, piece, hop);
      System.arraycopy(roomWindow, part, pieceWindow, 0, hop);
      System.arraycopy(sum, part, pieceSum, 0, hop);
      for (int i = 0; i < hop; i++) {
        pieceSum[i] += piece[i] * pieceWindow[i];
      }
      System.arraycopy(pieceSum, 0, sum, part, hop);
    }
  }
}
