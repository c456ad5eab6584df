package takewright.denoise.stage;

import java.io.IOException;
import java.util.Arrays;
import takewright.audio.AudioSource;

/**
 * Audio without what lies below the lowest notes, as it is read: a constant, and the rumble of the
 * building.
 *
 * <p>A running mean, taken four times, is what is slow; three times what is slow is taken out of
 * what is left. All of it is symmetrical, so that nothing is moved in time and no phase turned.
 * With f in units of {@link #EDGE_HZ} the response is (1 - sinc(f)^4)^3: -28 dB at 9 Hz, -5 dB at
 * 18 Hz, -0.2 dB at 27.5 Hz (the lowest key of a piano), and within 0.1 dB above 30 Hz.
 */
public final class RumbleFilter extends CleaningStage {
  private static final double EDGE_HZ = 36;
  private static final int MEANS = 4;
  private static final int TIMES = 3;
  private static final int BLOCK = 4096;

  private final int length;
  private final int delay;
  private final Slow[][] slow;

  /** The last of the audio, by channel: frame n stands at n modulo the length, a power of two. */
  private final float[][] past;

  /** Frames of audio that have been read. */
  private long frames;

  /** Frames that the filter has taken: more than there are, once the audio has ended. */
  private long pushed;

  public RumbleFilter(AudioSource source) {
    super(source, BLOCK);
    length = 2 * (int) (source.sampleRate() / EDGE_HZ / 2) + 1;
    delay = TIMES * MEANS * (length - 1) / 2;
    slow = new Slow[channels][TIMES];
    past = new float[channels][2 * Integer.highestOneBit(delay + BLOCK)];
  }

  /** What is left of a frequency's amplitude. */
  public static double response(double hz) {
    double x = Math.PI * hz / EDGE_HZ;
    double sinc = x == 0 ? 1 : Math.sin(x) / x;
    return Math.pow(1 - Math.pow(sinc, MEANS), TIMES);
  }

  @Override
  protected void next() throws IOException {
    int n = fill(block);
    frames += n;
    for (int c = 0; c < channels; c++) {
      float[] x = block[c];
      float[] ring = past[c];
      double sum = 0;
      for (int i = 0; i < n; i++) {
        x[i] = Math.abs(x[i]) <= Float.MAX_VALUE ? x[i] : 0;
        ring[(int) (pushed + i) & ring.length - 1] = x[i];
        sum += x[i];
      }
      if (slow[c][0] == null) {
        // Before the audio begins it is taken to have been as it mostly is at first.
        for (int t = 0; t < TIMES; t++) {
          slow[c][t] = new Slow(length, t == 0 && n > 0 ? sum / n : 0);
        }
      }
      // After its end it goes on backwards. Any constant is a step where the rumble is not at it.
      for (int i = n; i < BLOCK; i++) {
        x[i] = frames == 0 ? 0 : ring[mirrored(pushed + i) & ring.length - 1];
      }
      for (Slow stage : slow[c]) {
        stage.takeOut(x);
      }
    }
    // What comes out belongs to frames this many before.
    long first = pushed - delay;
    pushed += BLOCK;
    give((int) Math.min(BLOCK, Math.max(0, -first)));
  }

  /** The frame of the audio that stands for one after its end. */
  private int mirrored(long frame) {
    long beyond = (frame - frames) % (2 * frames);
    return (int) (beyond < frames ? frames - 1 - beyond : beyond - frames);
  }

  /** One channel's slow part, by running means one after another, taken out. */
  private static final class Slow {
    private final double[][] past = new double[MEANS][];
    private final double[] sums = new double[MEANS];
    private final float[] waiting;
    private int place;
    private int turn;

    Slow(int length, double before) {
      for (int m = 0; m < MEANS; m++) {
        past[m] = new double[length];
        Arrays.fill(past[m], before);
        sums[m] = before * length;
      }
      waiting = new float[MEANS * (length - 1) / 2];
      Arrays.fill(waiting, (float) before);
    }

    void takeOut(float[] x) {
      double share = 1.0 / past[0].length;
      for (int i = 0; i < x.length; i++) {
        double value = x[i];
        for (int m = 0; m < MEANS; m++) {
          sums[m] += value - past[m][place];
          past[m][place] = value;
          value = sums[m] * share;
        }
        place = place + 1 == past[0].length ? 0 : place + 1;
        float late = waiting[turn];
        waiting[turn] = x[i];
        turn = turn + 1 == waiting.length ? 0 : turn + 1;
        x[i] = (float) (late - value);
      }
    }
  }
}
