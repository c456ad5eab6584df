package takewright.bench;

import java.io.IOException;
import java.util.ArrayList;
import java.util.Collection;
import java.util.List;
import java.util.SplittableRandom;
import java.util.concurrent.TimeUnit;
import org.openjdk.jmh.annotations.Benchmark;
import org.openjdk.jmh.annotations.BenchmarkMode;
import org.openjdk.jmh.annotations.Level;
import org.openjdk.jmh.annotations.Mode;
import org.openjdk.jmh.annotations.OutputTimeUnit;
import org.openjdk.jmh.annotations.Scope;
import org.openjdk.jmh.annotations.Setup;
import org.openjdk.jmh.annotations.State;
import org.openjdk.jmh.profile.GCProfiler;
import org.openjdk.jmh.results.RunResult;
import org.openjdk.jmh.runner.Runner;
import org.openjdk.jmh.runner.RunnerException;
import org.openjdk.jmh.runner.options.OptionsBuilder;
import org.openjdk.jmh.runner.options.TimeValue;
import org.openjdk.jmh.runner.options.VerboseMode;
import takewright.analyse.Analyse;
import takewright.analyse.AnalyseSettings;
import takewright.audio.AudioSource;
import takewright.audio.Clip;
import takewright.denoise.Denoise;
import takewright.denoise.DenoiseSettings;
import takewright.denoise.room.NoiseProfile;
import takewright.dsp.Convolver;
import takewright.dsp.Fft;
import takewright.dsp.Fir;
import takewright.dsp.Resampler;
import takewright.pitch.PitchDetector;

/** The inner loops, each alone, on a second of a tone in noise. */
@State(Scope.Thread)
@BenchmarkMode(Mode.AverageTime)
@OutputTimeUnit(TimeUnit.MICROSECONDS)
public class Kernels {
  private static final int RATE = Takes.RATE;

  /** Frames of the block that filters are given. */
  private static final int BLOCK = 512;

  private float[] second;
  private float[] work;
  private Fft fft;
  private Fir fir;
  private float[][] firOut;
  private PitchDetector detector;
  private Clip clip;
  private NoiseProfile profile;
  private float[][] planar;
  private float[][] out;
  private Convolver convolver;

  /** Makes the audio. */
  @Setup(Level.Trial)
  public void setUp() {
    SplittableRandom random = new SplittableRandom(30);
    second = new float[RATE];
    float[] noise = new float[RATE];
    for (int i = 0; i < RATE; i++) {
      noise[i] = (float) (0.001 * (random.nextDouble() - 0.5));
      double phase = 2 * Math.PI * 220 * i / RATE;
      second[i] =
          (float) (0.2 * Math.sin(phase) + 0.1 * Math.sin(2 * phase) + 0.05 * Math.sin(3 * phase))
              + noise[i];
    }
    work = new float[8192];
    fft = Fft.of(8192);
    fir = new Fir(new float[][] {new float[256], new float[256]}, BLOCK);
    firOut = new float[2][BLOCK];
    detector = new PitchDetector(RATE);
    clip = Clip.of(RATE, second);
    profile = NoiseProfile.of(List.of(Clip.of(RATE, noise)));
    planar = new float[][] {second};
    out = new float[1][2 * RATE];
    float[] response = new float[2 * RATE];
    for (int i = 0; i < response.length; i++) {
      response[i] = (float) (0.01 * (random.nextDouble() - 0.5));
    }
    convolver = new Convolver(1, 1, List.of(new Convolver.Path(0, 0, response)));
  }

  /** A transform of 8192 samples. */
  @Benchmark
  public float fft8192() {
    System.arraycopy(second, 0, work, 0, work.length);
    fft.forward(work);
    return work[10];
  }

  /** A polyphase filter of two times 256 taps over 512 frames. */
  @Benchmark
  public float fir512() {
    fir.apply(second, 0, firOut, BLOCK);
    return firOut[0][0];
  }

  /** One window of the pitch detector. */
  @Benchmark
  public int pitchWindow() {
    return detector.find(second, RATE / 4);
  }

  /** A second moved in pitch by a semitone. */
  @Benchmark
  public int resampleSecond() {
    Resampler resampler = new Resampler(RATE, RATE * 1.0594630943592953, 1);
    int read = 0;
    for (int at = 0; at < RATE; ) {
      at += resampler.write(planar, at, RATE - at);
      read += Math.max(0, resampler.read(out, read, out[0].length - read));
    }
    return read;
  }

  /** A second through the noise reduction. */
  @Benchmark
  public int denoiseSecond() throws IOException {
    AudioSource source = Denoise.stream(clip.source(), new DenoiseSettings(24, profile));
    int read = 0;
    for (int n; (n = source.read(out, 0, RATE)) >= 0; ) {
      read += n;
    }
    return read;
  }

  /** Loudness, true peak and floor of a second. */
  @Benchmark
  public Object loudnessSecond() {
    return Analyse.apply(clip, new AnalyseSettings(true, 440));
  }

  /** A second through a room of two seconds. */
  @Benchmark
  public int convolveSecond() {
    int read = 0;
    for (int at = 0; at < RATE; ) {
      at += convolver.write(planar, at, RATE - at);
      read += convolver.read(out, 0, RATE);
    }
    return read;
  }

  /** Runs them; a row each: name, microseconds, their error, bytes allocated. */
  static List<String[]> measure() throws RunnerException {
    Collection<RunResult> results =
        new Runner(
                new OptionsBuilder()
                    .include(Kernels.class.getName())
                    .forks(1)
                    .jvmArgs("-XX:+UseParallelGC", "-Xlog:disable")
                    .warmupIterations(3)
                    .warmupTime(TimeValue.seconds(1))
                    .measurementIterations(5)
                    .measurementTime(TimeValue.milliseconds(500))
                    .addProfiler(GCProfiler.class)
                    .verbosity(VerboseMode.SILENT)
                    .build())
            .run();
    List<String[]> rows = new ArrayList<>();
    for (RunResult result : results) {
      String name = result.getPrimaryResult().getLabel();
      double allocated = Double.NaN;
      for (String key : result.getSecondaryResults().keySet()) {
        if (key.endsWith("gc.alloc.rate.norm")) {
          allocated = result.getSecondaryResults().get(key).getScore();
        }
      }
      rows.add(
          new String[] {
            name,
            Table.figure(result.getPrimaryResult().getScore()),
            Table.figure(result.getPrimaryResult().getScoreError()),
            Table.figure(Math.floor(allocated))
          });
    }
    return rows;
  }
}
