package takewright.analyse;

import takewright.audio.Clip;

/** Tones in steps, the stuff of the EBU's test signals. */
final class Signals {
  private Signals() {}

  /** A stretch of a tone: so many seconds at a peak level in dBFS; -infinity is silence. */
  record Step(double seconds, double dbfs) {}

  static Step step(double seconds, double dbfs) {
    return new Step(seconds, dbfs);
  }

  static Step silence(double seconds) {
    return new Step(seconds, Double.NEGATIVE_INFINITY);
  }

  /** A 1 kHz sine through the steps, the phase running on, alike in both channels. */
  static Clip stereo(int sampleRate, Step... steps) {
    float[] samples = tone(sampleRate, 1000, steps);
    return Clip.of(sampleRate, samples, samples);
  }

  static float[] tone(int sampleRate, double hz, Step... steps) {
    double seconds = 0;
    for (Step step : steps) {
      seconds += step.seconds();
    }
    float[] samples = new float[(int) Math.round(seconds * sampleRate)];
    double end = 0;
    int at = 0;
    for (Step step : steps) {
      end += step.seconds();
      double amplitude = Math.pow(10, step.dbfs() / 20);
      for (; at < Math.round(end * sampleRate); at++) {
        samples[at] = (float) (amplitude * Math.sin(2 * Math.PI * hz * at / sampleRate));
      }
    }
    return samples;
  }
}
