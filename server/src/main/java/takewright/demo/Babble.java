package takewright.demo;

import java.util.SplittableRandom;
import takewright.dsp.Biquad;

/**
 * Speech between notes: syllables without meaning, in no language.
 *
 * <p>Glottal pulses (A. E. Rosenberg, "Effect of glottal pulse shape on the quality of natural
 * vowels", JASA 49, 1971) through a cascade of moving formant resonators (D. H. Klatt, "Software
 * for a cascade/parallel formant synthesizer", JASA 67, 1980). Formants are near the averages for
 * men of G. E. Peterson and H. L. Barney, "Control methods used in a study of the vowels", JASA 24,
 * 1952 (from memory).
 */
final class Babble {
  /** Frequencies of the first three formants of vowels, in hertz. */
  private static final double[][] VOWELS = {
    {730, 1090, 2440},
    {270, 2290, 3010},
    {570, 840, 2410},
    {530, 1840, 2480},
    {300, 870, 2240},
    {660, 1720, 2410},
    {640, 1190, 2390}
  };

  /** Bandwidths of the three and of the fixed fourth, in hertz. */
  private static final double[] WIDTHS_HZ = {70, 100, 160, 250};

  private static final double FOURTH_HZ = 3500;

  /** Shares of a period in which the glottis opens and closes. */
  private static final double OPENS = 0.4;

  private static final double CLOSES = 0.16;

  private static final double SYLLABLE_S = 0.17;

  /** Share of a syllable that is its consonant. */
  private static final double CONSONANT = 0.3;

  private Babble() {}

  /** So many syllables, in no unit; about 0.17 s each. */
  static float[] speak(int syllables, int sampleRate, SplittableRandom random) {
    int length = (int) (SYLLABLE_S * sampleRate);
    float[] out = new float[syllables * length];
    Resonator[] formants = new Resonator[WIDTHS_HZ.length];
    for (int f = 0; f < formants.length; f++) {
      formants[f] = new Resonator();
    }
    Biquad hiss = Biquad.highPass(sampleRate, 2500, 0.8);
    double[] from = VOWELS[0];
    double pitch = 145;
    double phase = 0;
    double before = 0;
    for (int s = 0; s < syllables; s++) {
      double[] to = VOWELS[random.nextInt(VOWELS.length)];
      // Stressed syllables rise, and the whole falls towards its end, as a statement does.
      double target = (s % 2 == 0 ? 165 : 125) * (1 - 0.25 * s / syllables);
      target *= 0.93 + 0.14 * random.nextDouble();
      double hissing = s % 2 == 1 ? 0.3 : 0.05;
      for (int i = 0; i < length; i++) {
        double x = (double) i / length;
        if (i % 48 == 0) {
          double glide = Math.min(1, x / 0.6);
          for (int f = 0; f < formants.length; f++) {
            double hz = f < 3 ? from[f] + (to[f] - from[f]) * glide : FOURTH_HZ;
            formants[f].tune(hz, WIDTHS_HZ[f], sampleRate);
          }
        }
        pitch += (target - pitch) * 15 / sampleRate;
        phase += pitch * (1 + 0.02 * (random.nextDouble() - 0.5)) / sampleRate;
        phase -= (int) phase;
        double flow = glottis(phase);
        double voiced = bump((x - CONSONANT * 0.6) / (1 - CONSONANT * 0.6));
        double y = (flow - before) * sampleRate / 1000 * voiced;
        before = flow;
        for (Resonator formant : formants) {
          y = formant.process(y);
        }
        double noise = hiss.process(random.nextDouble() * 2 - 1);
        out[s * length + i] = (float) (y + noise * hissing * bump(x / CONSONANT));
      }
      from = to;
    }
    return out;
  }

  /** Flow through the glottis over one period. */
  private static double glottis(double phase) {
    if (phase < OPENS) {
      return 0.5 * (1 - StrictMath.cos(Math.PI * phase / OPENS));
    }
    if (phase < OPENS + CLOSES) {
      return StrictMath.cos(Math.PI / 2 * (phase - OPENS) / CLOSES);
    }
    return 0;
  }

  /** Up fast and down slowly between 0 and 1, nothing outside. */
  private static double bump(double x) {
    return x <= 0 || x >= 1 ? 0 : StrictMath.sin(Math.PI * StrictMath.sqrt(x));
  }

  /** Klatt's resonator: gain 1 at 0 Hz, moved while it rings. */
  private static final class Resonator {
    private double a = 1;
    private double b;
    private double c;
    private double y1;
    private double y2;

    void tune(double hz, double widthHz, int sampleRate) {
      double r = StrictMath.exp(-Math.PI * widthHz / sampleRate);
      c = -r * r;
      b = 2 * r * StrictMath.cos(2 * Math.PI * hz / sampleRate);
      a = 1 - b - c;
    }

    double process(double x) {
      double y = a * x + b * y1 + c * y2;
      y2 = y1;
      y1 = y;
      return y;
    }
  }
}
