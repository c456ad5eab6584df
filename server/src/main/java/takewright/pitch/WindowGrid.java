package takewright.pitch;

/** Where the windows over a sound lie, and how loud each of them is. */
final class WindowGrid {
  /** Frames whose energy is summed at once: few against any window. */
  private static final int ENERGY_STEP = 16;

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
    int k = 1;
    for (; k + 1 < energy.length; k += 2) {
      // Two steps at once: the sum of one does not wait for that of the other.
      float sum = 0;
      float next = 0;
      for (int i = (k - 1) * ENERGY_STEP; i < k * ENERGY_STEP; i++) {
        sum += audio[i] * audio[i];
        next += audio[i + ENERGY_STEP] * audio[i + ENERGY_STEP];
      }
      energy[k] = energy[k - 1] + sum;
      energy[k + 1] = energy[k] + next;
    }
    if (k < energy.length) {
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
}
