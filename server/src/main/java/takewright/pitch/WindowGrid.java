package takewright.pitch;

/** Where the windows over a sound lie, and how loud each of them is. */
final class WindowGrid {
  /** Frames whose energy is summed at once: few against any window. */
  private static final int ENERGY_STEP = 16;

  /** Steps summed side by side. */
  private static final int STEPS = 8;

  private WindowGrid() {}

  /** Starts of at most {@code max} windows spread evenly over {@code length} frames. */
  static int[] starts(int length, int window, int max) {
    int room = length - window;
    // Windows overlap by at most three quarters: closer ones hold nothing new.
    int n = (int) Math.min(max, 1 + 4L * room / window);
    int[] starts = new int[n];
    for (int i = 0; i < n; i++) {
      starts[i] = n == 1 ? room / 2 : (int) ((long) room * i / (n - 1));
    }
    return starts;
  }

  /** RMS of each window; every frame is read once, however many windows overlap there. */
  static double[] levels(float[] audio, int[] starts, int window) {
    double[] energy = new double[audio.length / ENERGY_STEP + 1];
    float[] sums = new float[STEPS];
    int k = 1;
    for (; k + STEPS <= energy.length; k += STEPS) {
      squares(audio, (k - 1) * ENERGY_STEP, sums);
      for (int j = 0; j < STEPS; j++) {
        energy[k + j] = energy[k + j - 1] + sums[j];
      }
    }
    for (; k < energy.length; k++) {
      float sum = 0;
      for (int i = (k - 1) * ENERGY_STEP; i < k * ENERGY_STEP; i++) {
        sum += audio[i] * audio[i];
      }
      energy[k] = energy[k - 1] + sum;
    }
    double[] levels = new double[starts.length];
    for (int w = 0; w < starts.length; w++) {
      int first = Math.max(0, starts[w] / ENERGY_STEP);
      int last =
          Math.max(first + 1, Math.min(energy.length - 1, (starts[w] + window) / ENERGY_STEP));
      levels[w] =
          last < energy.length
              ? Math.sqrt((energy[last] - energy[first]) / ((last - first) * ENERGY_STEP))
              : 0;
    }
    return levels;
  }

  /** Sums of squares of eight steps at once: the sum of one does not wait for that of another. */
  private static void squares(float[] x, int from, float[] to) {
    float s0 = 0;
    float s1 = 0;
    float s2 = 0;
    float s3 = 0;
    float s4 = 0;
    float s5 = 0;
    float s6 = 0;
    float s7 = 0;
    for (int i = from; i < from + ENERGY_STEP; i++) {
      s0 += x[i] * x[i];
      s1 += x[i + ENERGY_STEP] * x[i + ENERGY_STEP];
      s2 += x[i + 2 * ENERGY_STEP] * x[i + 2 * ENERGY_STEP];
      s3 += x[i + 3 * ENERGY_STEP] * x[i + 3 * ENERGY_STEP];
      s4 += x[i + 4 * ENERGY_STEP] * x[i + 4 * ENERGY_STEP];
      s5 += x[i + 5 * ENERGY_STEP] * x[i + 5 * ENERGY_STEP];
      s6 += x[i + 6 * ENERGY_STEP] * x[i + 6 * ENERGY_STEP];
      s7 += x[i + 7 * ENERGY_STEP] * x[i + 7 * ENERGY_STEP];
    }
    to[0] = s0;
    to[1] = s1;
    to[2] = s2;
    to[3] = s3;
    to[4] = s4;
    to[5] = s5;
    to[6] = s6;
    to[7] = s7;
  }
}
