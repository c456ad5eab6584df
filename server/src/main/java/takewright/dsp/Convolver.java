package takewright.dsp;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;

/**
 * Convolution with long responses, for a stream of any length in bounded memory: uniformly
 * partitioned overlap-save with a delay line of spectra (W. G. Gardner, "Efficient convolution
 * without input-output delay", J. Audio Eng. Soc. 43, 1995; F. Wefers, "Partitioned convolution
 * algorithms for real-time auralization", 2015, chapter 5). There is no deadline here, so all
 * partitions are large, and Gardner's short first ones are not needed.
 *
 * <p>Several inputs and outputs: each {@link Path} leads from one to another through a response. An
 * input is transformed once however many paths leave it, and an output once however many reach it.
 *
 * <p>No delay: output frame 0 is made of input frame 0 alone. Output goes on behind the end of the
 * input until the longest response is over. Samples must be finite. Not for use by several threads
 * at once.
 */
public final class Convolver {
  /**
   * Longest partition in frames. Measured with 6 s and 1 s of response at 48 kHz: 8192 is as fast
   * as 16384 and needs half the block; 2048 takes twice the time.
   */
  private static final int MAX_PARTITION = 8192;

  /** Shortest partition: below this the calls cost more than the transforms. */
  private static final int MIN_PARTITION = 64;

  /**
   * One way from an input to an output.
   *
   * @param from the input, from 0
   * @param to the output, from 0
   * @param response what an impulse there becomes here, at least one sample
   */
  public record Path(int from, int to, float[] response) {}

  /** A spectrum with separate real and imaginary parts, which HotSpot vectorises. */
  private record Spectrum(float[] re, float[] im) {
    Spectrum(int bins) {
      this(new float[bins], new float[bins]);
    }
  }

  /** A path with its response partitioned and transformed; null stands for silence. */
  private record Route(int from, int to, Spectrum[] partitions) {}

  private final int partition;
  private final Fft fft;
  private final int maxLength;
  private final List<Route> routes = new ArrayList<>();

  /** By input: the spectra of the latest blocks, a ring; null if a block was silent. */
  private final Spectrum[][] history;

  /** By input: spectra that the ring does not hold at the moment. */
  private final List<List<Spectrum>> spare = new ArrayList<>();

  private int newest;

  /** By input: the block before the one that is being filled, and that one. */
  private final float[][] input;

  private final Spectrum sum;
  private final float[] work;
  private int fill;

  private final float[][] output;
  private int outputAt;
  private int outputFill;

  private long written;
  private long produced;
  private long total = Long.MAX_VALUE;

  /**
   * A convolver at the start of its stream.
   *
   * @param inputs number of inputs, at least 1
   * @param outputs number of outputs, at least 1
   * @param paths at least one
   */
  public Convolver(int inputs, int outputs, List<Path> paths) {
    if (inputs < 1 || outputs < 1 || paths.isEmpty()) {
      throw new IllegalArgumentException("inputs, outputs and paths must be at least 1");
    }
    int max = 0;
    for (Path path : paths) {
      if (path.response.length == 0) {
        throw new IllegalArgumentException("a response needs at least one sample");
      }
      max = Math.max(max, path.response.length);
    }
    maxLength = max;
    partition = Math.min(MAX_PARTITION, Math.max(MIN_PARTITION, Integer.highestOneBit(maxLength)));
    fft = Fft.of(2 * partition);
    work = new float[2 * partition];
    sum = new Spectrum(partition + 1);
    int count = (maxLength + partition - 1) / partition;
    for (Path path : paths) {
      routes.add(new Route(path.from, path.to, transform(path.response)));
    }
    history = new Spectrum[inputs][count];
    for (int c = 0; c < inputs; c++) {
      spare.add(new ArrayList<>());
    }
    input = new float[inputs][2 * partition];
    output = new float[outputs][partition];
  }

  private Spectrum[] transform(float[] response) {
    Spectrum[] partitions = new Spectrum[(response.length + partition - 1) / partition];
    for (int p = 0; p < partitions.length; p++) {
      int from = p * partition;
      int n = Math.min(partition, response.length - from);
      System.arraycopy(response, from, work, 0, n);
      Arrays.fill(work, n, 2 * partition, 0);
      if (!silent(work, 0, n)) {
        partitions[p] = new Spectrum(partition + 1);
        spectrumOf(partitions[p]);
      }
    }
    return partitions;
  }

  /** Frames of the longest response. */
  public int responseFrames() {
    return maxLength;
  }

  /**
   * Accepts as much input as fits.
   *
   * @param planar from where: one array an input
   * @param offset index of the first sample to take in each array
   * @param count at most this many frames
   * @return frames taken; 0 if {@link #read} must be called first
   */
  public int write(float[][] planar, int offset, int count) {
    if (total != Long.MAX_VALUE) {
      throw new IllegalStateException("written to after the end");
    }
    if (outputAt < outputFill) {
      return 0;
    }
    int n = Math.min(count, partition - fill);
    for (int c = 0; c < input.length; c++) {
      System.arraycopy(planar[c], offset, input[c], partition + fill, n);
    }
    fill += n;
    written += n;
    if (fill == partition) {
      convolveBlock();
    }
    return n;
  }

  /** Marks the end of the input; the remaining output can then be read. */
  public void end() {
    if (total == Long.MAX_VALUE) {
      total = written == 0 ? 0 : written + maxLength - 1;
    }
  }

  /**
   * Returns as much output as the input so far allows.
   *
   * @param planar where to: one array an output
   * @param offset index of the first sample to fill in each array
   * @param count at most this many frames
   * @return frames given; 0 if more input is needed first; -1 at the end
   */
  public int read(float[][] planar, int offset, int count) {
    if (produced >= total && count > 0) {
      return -1;
    }
    int want = (int) Math.min(count, total - produced);
    int done = 0;
    while (done < want) {
      if (outputAt == outputFill) {
        if (total == Long.MAX_VALUE) {
          break;
        }
        // After the end the input is silent.
        for (float[] samples : input) {
          Arrays.fill(samples, partition + fill, 2 * partition, 0);
        }
        convolveBlock();
      }
      int n = Math.min(want - done, outputFill - outputAt);
      for (int c = 0; c < output.length; c++) {
        System.arraycopy(output[c], outputAt, planar[c], offset + done, n);
      }
      outputAt += n;
      done += n;
      produced += n;
    }
    return done;
  }

  /** One block: the new half of the input against all partitions of all responses. */
  private void convolveBlock() {
    newest = (newest + 1) % history[0].length;
    for (int c = 0; c < input.length; c++) {
      float[] samples = input[c];
      if (history[c][newest] != null) {
        spare.get(c).add(history[c][newest]);
        history[c][newest] = null;
      }
      if (!silent(samples, 0, 2 * partition)) {
        List<Spectrum> free = spare.get(c);
        Spectrum spectrum =
            free.isEmpty() ? new Spectrum(partition + 1) : free.remove(free.size() - 1);
        System.arraycopy(samples, 0, work, 0, 2 * partition);
        spectrumOf(spectrum);
        history[c][newest] = spectrum;
      }
      System.arraycopy(samples, partition, samples, 0, partition);
    }
    for (int to = 0; to < output.length; to++) {
      sumUp(to);
    }
    fill = 0;
    outputAt = 0;
    outputFill = partition;
  }

  private void sumUp(int to) {
    boolean sounds = false;
    Arrays.fill(sum.re, 0);
    Arrays.fill(sum.im, 0);
    for (Route route : routes) {
      if (route.to != to) {
        continue;
      }
      Spectrum[] blocks = history[route.from];
      for (int p = 0; p < route.partitions.length; p++) {
        Spectrum block = blocks[Math.floorMod(newest - p, blocks.length)];
        Spectrum response = route.partitions[p];
        if (block != null && response != null) {
          addProduct(block.re, block.im, response.re, response.im, sum.re, sum.im);
          sounds = true;
        }
      }
    }
    if (!sounds) {
      Arrays.fill(output[to], 0);
      return;
    }
    work[0] = sum.re[0];
    work[1] = sum.re[partition];
    for (int k = 1; k < partition; k++) {
      work[2 * k] = sum.re[k];
      work[2 * k + 1] = sum.im[k];
    }
    fft.inverse(work);
    // The first half is circular and discarded.
    System.arraycopy(work, partition, output[to], 0, partition);
  }

  private static void addProduct(
      float[] xr, float[] xi, float[] hr, float[] hi, float[] re, float[] im) {
    // Two loops: HotSpot does not vectorise both sums in one (measured on 17).
    for (int k = 0; k < re.length; k++) {
      re[k] += xr[k] * hr[k] - xi[k] * hi[k];
    }
    for (int k = 0; k < im.length; k++) {
      im[k] += xr[k] * hi[k] + xi[k] * hr[k];
    }
  }

  /** The spectrum of what stands in {@link #work}. */
  private void spectrumOf(Spectrum to) {
    fft.forward(work);
    to.re[0] = work[0];
    to.im[0] = 0;
    to.re[partition] = work[1];
    to.im[partition] = 0;
    for (int k = 1; k < partition; k++) {
      to.re[k] = work[2 * k];
      to.im[k] = work[2 * k + 1];
    }
  }

  private static boolean silent(float[] samples, int from, int to) {
    for (int i = from; i < to; i++) {
      if (samples[i] != 0) {
        return false;
      }
    }
    return true;
  }
}
