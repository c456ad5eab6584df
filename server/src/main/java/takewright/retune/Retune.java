package takewright.retune;

import java.io.IOException;
import takewright.audio.AudioSource;
import takewright.audio.Clip;
import takewright.diagnosis.SettingException;
import takewright.dsp.Cents;
import takewright.dsp.Resampler;
import takewright.dsp.TimeMap;

/**
 * Moves the pitch of a sample by resampling alone: faster for a shift up and slower for one down,
 * as on tape, so nothing is smeared. Drift is removed by a speed that follows it. Quality and pass
 * band are those of {@link Resampler}.
 */
public final class Retune {
  private Retune() {}

  /**
   * Moves the pitch and converts the sample rate in one step.
   *
   * <p>Without a shift and at the same rate the sample itself is returned. Peaks may exceed full
   * scale even if those of the input do not.
   *
   * @throws IllegalArgumentException if the result would be too long for one clip
   */
  public static Clip apply(Clip sample, RetuneSettings settings) {
    if (changesNothing(settings, sample.sampleRate())) {
      return sample;
    }
    TimeMap map = map(sample.sampleRate(), settings);
    long frames = map.outputFrames(sample.frames());
    if (frames > Integer.MAX_VALUE - 8) {
      throw new SettingException(
          "cents",
          "would make a sample of " + frames + " frames, more than a clip holds",
          "retune it as a stream");
    }
    float[][] from = new float[sample.channels()][];
    float[][] to = new float[sample.channels()][(int) frames];
    for (int c = 0; c < from.length; c++) {
      from[c] = sample.channel(c);
    }
    Resampler resampler = new Resampler(sample.sampleRate(), map, sample.channels());
    int written = 0;
    int read = 0;
    while (read < frames) {
      if (written < sample.frames()) {
        written += resampler.write(from, written, sample.frames() - written);
      } else {
        resampler.end();
      }
      read += resampler.read(to, read, (int) frames - read);
    }
    return Clip.of(outputRate(sample.sampleRate(), settings), to);
  }

  /**
   * The same as {@link #apply}, sample for sample, for audio of any length, in bounded memory.
   * Closing the result closes {@code source}.
   */
  public static AudioSource stream(AudioSource source, RetuneSettings settings) {
    if (changesNothing(settings, source.sampleRate())) {
      return source;
    }
    return new RetunedSource(
        source, map(source.sampleRate(), settings), outputRate(source.sampleRate(), settings));
  }

  /**
   * The frame of the result at which a frame of the input sounds, rounded to the nearest: for
   * onsets and loop points.
   *
   * @param frame of the input
   * @param sampleRate of the input, in hertz
   */
  public static long mapFrame(long frame, int sampleRate, RetuneSettings settings) {
    return map(sampleRate, settings).mapFrame(frame);
  }

  /**
   * Frames of the result: as many as the input's times the ratio, or where its end comes to lie,
   * rounded up.
   *
   * @param frames of the input
   * @param sampleRate of the input, in hertz
   */
  public static long outputFrames(long frames, int sampleRate, RetuneSettings settings) {
    return map(sampleRate, settings).outputFrames(frames);
  }

  private static boolean changesNothing(RetuneSettings settings, int sampleRate) {
    return settings.cents() == 0
        && settings.drift().isNone()
        && outputRate(sampleRate, settings) == sampleRate;
  }

  private static int outputRate(int sampleRate, RetuneSettings settings) {
    return settings.outputSampleRate() == 0 ? sampleRate : settings.outputSampleRate();
  }

  /** Input frames per output frame. */
  private static TimeMap map(int sampleRate, RetuneSettings settings) {
    double ratio = (double) outputRate(sampleRate, settings) / sampleRate;
    Drift drift = settings.drift();
    return drift.isNone()
        ? TimeMap.even(ratio / Cents.toRatio(settings.cents()))
        : TimeMap.along(
            ratio,
            drift.moves(settings.cents()),
            drift.firstS() * sampleRate,
            drift.spacingS() * sampleRate);
  }

  /** A source that is resampled while it is read. */
  private static final class RetunedSource implements AudioSource {
    /** Frames read at a time. */
    private static final int BLOCK = 1024;

    private final AudioSource source;
    private final TimeMap map;
    private final Resampler resampler;
    private final int sampleRate;
    private final float[][] block;
    private int blockAt;
    private int blockFill;

    RetunedSource(AudioSource source, TimeMap map, int sampleRate) {
      this.source = source;
      this.map = map;
      this.resampler = new Resampler(source.sampleRate(), map, source.channels());
      this.sampleRate = sampleRate;
      this.block = new float[source.channels()][BLOCK];
    }

    @Override
    public int sampleRate() {
      return sampleRate;
    }

    @Override
    public int channels() {
      return block.length;
    }

    @Override
    public long frames() {
      long frames = source.frames();
      return frames == UNKNOWN ? UNKNOWN : map.outputFrames(frames);
    }

    @Override
    public int read(float[][] planar, int offset, int count) throws IOException {
      int n = resampler.read(planar, offset, count);
      while (n == 0 && count > 0) {
        feed();
        n = resampler.read(planar, offset, count);
      }
      return n;
    }

    private void feed() throws IOException {
      if (blockAt == blockFill) {
        blockAt = 0;
        blockFill = Math.max(0, source.read(block, 0, BLOCK));
        if (blockFill == 0) {
          resampler.end();
          return;
        }
      }
      blockAt += resampler.write(block, blockAt, blockFill - blockAt);
    }

    @Override
    public void close() throws IOException {
      source.close();
    }
  }
}
