package takewright.bench;

import com.sun.management.OperatingSystemMXBean;
import com.sun.management.ThreadMXBean;
import java.io.IOException;
import java.io.PrintStream;
import java.lang.management.ManagementFactory;
import java.nio.file.Path;
import java.util.Arrays;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import takewright.analyse.Analyse;
import takewright.analyse.AnalyseSettings;
import takewright.audio.AudioFile;
import takewright.audio.AudioSource;
import takewright.audio.Clip;
import takewright.audio.WavChunks;
import takewright.audio.write.WavWriter;
import takewright.denoise.Denoise;
import takewright.denoise.DenoiseSettings;
import takewright.denoise.room.NoiseProfile;
import takewright.dsp.Convolver;
import takewright.pitch.Kind;
import takewright.retune.Retune;
import takewright.retune.RetuneSettings;
import takewright.segment.Region;
import takewright.segment.Segment;
import takewright.segment.SegmentSettings;

/**
 * Each operation over whole takes, from the file to where its result could be written; the pitch of
 * notes over files that hold nothing else. Meant for a process of its own on one core.
 */
final class Operations {
  /** Frames read at a time. */
  private static final int BLOCK = 16_384;

  /** Runs after the first, of which the median counts. */
  private static final int WARM_RUNS = 3;

  private static final OperatingSystemMXBean SYSTEM =
      (OperatingSystemMXBean) ManagementFactory.getOperatingSystemMXBean();
  private static final ThreadMXBean THREADS = (ThreadMXBean) ManagementFactory.getThreadMXBean();

  private Operations() {}

  /**
   * What an operation took, for all takes once.
   *
   * @param warmS processor time of a later run, in seconds
   * @param allocated bytes allocated in a warm run
   */
  record Took(double warmS, double allocated) {
    String line(String name) {
      return name + "\t" + warmS + "\t" + allocated;
    }

    static Map<String, Took> read(String lines) {
      Map<String, Took> all = new LinkedHashMap<>();
      for (String line : lines.strip().split("\n")) {
        String[] cells = line.split("\t");
        all.put(cells[0], new Took(Double.parseDouble(cells[1]), Double.parseDouble(cells[2])));
      }
      return all;
    }
  }

  private interface Run {
    void now() throws IOException;
  }

  /** Their names. */
  static final List<String> ALL =
      List.of("read", "segment", "pitch", "loudness", "denoise", "resample", "retune", "convolve");

  /**
   * Runs one of them once, or measures it warm and prints a line.
   *
   * @param files the takes; for "pitch" those with the notes alone
   * @param impulse a room to convolve with
   */
  static void measure(String name, boolean warm, Path impulse, List<Path> files, PrintStream out)
      throws IOException {
    float[] response;
    try (AudioFile file = AudioFile.open(impulse)) {
      response = Clip.read(file, (int) file.frames()).mono();
    }
    OnTake work =
        switch (name) {
          case "read" -> Operations::drain;
          case "segment" -> Operations::segment;
          case "pitch" -> Operations::pitch;
          case "loudness" -> Operations::loudness;
          case "denoise" -> Operations::denoise;
          case "resample" -> take -> retune(take, 0, 44_100);
          case "retune" -> take -> retune(take, -14, 0);
          case "convolve" -> take -> convolve(take, response);
          default -> throw new IllegalArgumentException("no such operation: " + name);
        };
    if (warm) {
      out.println(timed(() -> each(files, work)).line(name));
    } else {
      each(files, work);
    }
  }

  /**
   * Writes what sounds in a take, and nothing between: what both pitch detectors are given.
   *
   * @param to a file to make
   */
  static Path notes(Path take, Path to) throws IOException {
    try (AudioFile file = AudioFile.open(take);
        WavWriter writer = WavWriter.create(to, file.sampleRate(), 1, 24, WavChunks.NONE)) {
      for (Region region : segment(take)) {
        if (!region.rejected()) {
          file.seek(region.start());
          float[] note = Clip.read(file, (int) (region.end() - region.start())).mono();
          writer.append(new float[][] {note}, 0, note.length);
        }
      }
      writer.commit();
    }
    return to;
  }

  private interface OnTake {
    Object apply(Path take) throws IOException;
  }

  private static void each(List<Path> takes, OnTake work) throws IOException {
    for (Path take : takes) {
      work.apply(take);
    }
  }

  private static Took timed(Run work) throws IOException {
    cpu(work);
    double[] warm = new double[WARM_RUNS];
    long before = THREADS.getThreadAllocatedBytes(Thread.currentThread().getId());
    for (int i = 0; i < WARM_RUNS; i++) {
      warm[i] = cpu(work);
    }
    long after = THREADS.getThreadAllocatedBytes(Thread.currentThread().getId());
    Arrays.sort(warm);
    return new Took(warm[WARM_RUNS / 2], (double) (after - before) / WARM_RUNS);
  }

  /** Processor time of all threads of this process, so also of the JIT and of the collector. */
  private static double cpu(Run work) throws IOException {
    long before = SYSTEM.getProcessCpuTime();
    work.now();
    return (SYSTEM.getProcessCpuTime() - before) / 1e9;
  }

  private static Object drain(Path take) throws IOException {
    try (AudioFile file = AudioFile.open(take)) {
      return drain(file);
    }
  }

  private static long drain(AudioSource source) throws IOException {
    float[][] block = new float[source.channels()][BLOCK];
    long frames = 0;
    for (int n; (n = source.read(block, 0, BLOCK)) >= 0; ) {
      frames += n;
    }
    return frames;
  }

  private static List<Region> segment(Path take) throws IOException {
    try (AudioFile file = AudioFile.open(take)) {
      return Segment.apply(file, SegmentSettings.forKind(Kind.PITCHED)).regions();
    }
  }

  /** Of pieces as long as notes are. */
  private static Object pitch(Path notes) throws IOException {
    Object last = null;
    try (AudioFile file = AudioFile.open(notes)) {
      int piece = 3 * file.sampleRate();
      for (long at = 0; at < file.frames(); at += piece) {
        Clip clip = Clip.read(file, (int) Math.min(piece, file.frames() - at));
        last = Analyse.pitch(clip, AnalyseSettings.DEFAULTS);
      }
    }
    return last;
  }

  private static Object loudness(Path take) throws IOException {
    try (AudioFile file = AudioFile.open(take)) {
      Clip clip = Clip.read(file, (int) file.frames());
      return Analyse.apply(clip, new AnalyseSettings(true, 440));
    }
  }

  private static Object denoise(Path take) throws IOException {
    try (AudioFile file = AudioFile.open(take)) {
      // Nobody plays in the first seconds.
      NoiseProfile profile = NoiseProfile.of(List.of(Clip.read(file, 2 * file.sampleRate())));
      file.seek(0);
      return drain(Denoise.stream(file, new DenoiseSettings(24, profile)));
    }
  }

  private static Object retune(Path take, double cents, int rate) throws IOException {
    try (AudioFile file = AudioFile.open(take)) {
      return drain(Retune.stream(file, new RetuneSettings(cents, rate)));
    }
  }

  private static Object convolve(Path take, float[] response) throws IOException {
    try (AudioFile file = AudioFile.open(take)) {
      Convolver convolver = new Convolver(1, 1, List.of(new Convolver.Path(0, 0, response)));
      float[][] in = new float[1][BLOCK];
      float[][] out = new float[1][BLOCK];
      long frames = 0;
      for (int n; (n = file.read(in, 0, BLOCK)) >= 0; ) {
        for (int done = 0; done < n; ) {
          done += convolver.write(in, done, n - done);
          frames += convolver.read(out, 0, BLOCK);
        }
      }
      convolver.end();
      for (int n; (n = convolver.read(out, 0, BLOCK)) >= 0; ) {
        frames += n;
      }
      return frames;
    }
  }
}
