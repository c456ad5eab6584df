package takewright.demo;

import java.util.SplittableRandom;

/** The room with nobody playing: pink-ish noise and the hum of the mains. */
final class DemoRoom {
  /** Level of the room tone, RMS in dBFS. */
  static final double DBFS = -62;

  /** Share of the power that is hum: it lies 10 dB below the noise. */
  private static final double HUM_SHARE = 0.1;

  private static final double MAINS_HZ = 50;

  /** Amplitudes of the mains' harmonics; rectifiers make the second the strongest. */
  private static final double[] HARMONICS = {0.7, 1, 0.35, 0.4, 0.15, 0.2};

  /** Poles of the pink filter in hertz, a factor of 4 apart; each has its zero half-way. */
  private static final double[] POLES_HZ = {20, 80, 320, 1280, 5120};

  private DemoRoom() {}

  /** Adds room tone to all channels: the same hum in each, and noise that each has to itself. */
  static void add(float[][] channels, int sampleRate, SplittableRandom random) {
    double level = StrictMath.pow(10, DBFS / 20);
    double[] hum = hum(sampleRate);
    scale(hum, level * StrictMath.sqrt(HUM_SHARE));
    for (float[] channel : channels) {
      double[] noise = pink(channel.length, sampleRate, random);
      scale(noise, level * StrictMath.sqrt(1 - HUM_SHARE));
      for (int i = 0; i < channel.length; i++) {
        channel[i] += (float) (noise[i] + hum[i % hum.length]);
      }
    }
  }

  /** One period of the mains, which is a whole number of frames at any usual rate. */
  private static double[] hum(int sampleRate) {
    double[] hum = new double[(int) (sampleRate / MAINS_HZ)];
    for (int i = 0; i < hum.length; i++) {
      for (int h = 0; h < HARMONICS.length; h++) {
        // The odd phases keep the harmonics from peaking together.
        hum[i] += HARMONICS[h] * StrictMath.sin(2 * Math.PI * (h + 1) * i / hum.length + h * h);
      }
    }
    return hum;
  }

  /**
   * Noise that falls by 3 dB per octave: white noise through poles and zeros in turn, evenly spaced
   * over the logarithm of frequency (G. Corsini and R. Saletti, "A 1/f^γ power spectrum noise
   * sequence generator", IEEE Trans. Instrum. Meas. 37, 1988).
   */
  private static double[] pink(int frames, int sampleRate, SplittableRandom random) {
    double[] noise = new double[frames];
    for (int i = 0; i < frames; i++) {
      // The sum of two has a triangular density; that is near enough to a bell for a room.
      noise[i] = random.nextDouble() + random.nextDouble() - 1;
    }
    for (double hz : POLES_HZ) {
      double pole = StrictMath.exp(-2 * Math.PI * hz / sampleRate);
      double zero = StrictMath.exp(-2 * Math.PI * 2 * hz / sampleRate);
      double x1 = 0;
      double y1 = 0;
      for (int i = 0; i < frames; i++) {
        y1 = noise[i] - zero * x1 + pole * y1;
        x1 = noise[i];
        noise[i] = y1;
      }
    }
    return noise;
  }

  private static void scale(double[] samples, double rms) {
    double power = 0;
    for (double sample : samples) {
      power += sample * sample;
    }
    double gain = rms / StrictMath.sqrt(power / samples.length);
    for (int i = 0; i < samples.length; i++) {
      samples[i] *= gain;
    }
  }
}
