package takewright.analyse;

import java.io.IOException;
import takewright.audio.AudioSource;
import takewright.audio.Clip;

/**
 * The levels of a piece of audio.
 *
 * @param levelLufs integrated loudness in LUFS, see {@link Loudness}; NaN for silence
 * @param momentaryMaxLufs loudness of the loudest 0.4 s in LUFS; NaN for digital silence
 * @param shortTermMaxLufs loudness of the loudest 3 s in LUFS; NaN for less than 3 s
 * @param loudnessRangeLu loudness range in LU; NaN for less than 3 s of sound
 * @param peakDbtp true peak in dBTP, see {@link TruePeak}; -200 for digital silence
 * @param floorDbfs level of the quietest stretch in dBFS, see {@link NoiseFloor}; -200 for digital
 *     silence
 */
record MeasuredLevels(
    double levelLufs,
    double momentaryMaxLufs,
    double shortTermMaxLufs,
    double loudnessRangeLu,
    double peakDbtp,
    double floorDbfs) {
  /** Frames read at a time. */
  private static final int BLOCK = 4096;

  /** The levels of a clip. */
  static MeasuredLevels measure(Clip clip) {
    Meter meter = new Meter(clip.sampleRate(), clip.channels());
    float[][] planar = new float[clip.channels()][];
    for (int c = 0; c < planar.length; c++) {
      planar[c] = clip.channel(c);
    }
    meter.feed(planar, clip.frames());
    return meter.levels();
  }

  /** The levels of audio of any length, from its current position; it is not closed. */
  static MeasuredLevels measure(AudioSource source) throws IOException {
    Meter meter = new Meter(source.sampleRate(), source.channels());
    float[][] block = new float[source.channels()][BLOCK];
    for (int n = source.read(block, 0, BLOCK); n >= 0; n = source.read(block, 0, BLOCK)) {
      meter.feed(block, n);
    }
    return meter.levels();
  }

  private static final class Meter {
    private final Loudness loudness;
    private final TruePeak peak;
    private final NoiseFloor floor;

    Meter(int sampleRate, int channels) {
      loudness = new Loudness(sampleRate, channels);
      peak = new TruePeak(sampleRate, channels);
      floor = new NoiseFloor(sampleRate, channels);
    }

    void feed(float[][] planar, int count) {
      loudness.feed(planar, 0, count);
      peak.feed(planar, 0, count);
      floor.feed(planar, 0, count);
    }

    MeasuredLevels levels() {
      return new MeasuredLevels(
          loudness.integrated(),
          loudness.momentaryMax(),
          loudness.shortTermMax(),
          loudness.range(),
          peak.dbtp(),
          floor.dbfs());
    }
  }
}
