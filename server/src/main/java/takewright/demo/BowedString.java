package takewright.demo;

import java.util.SplittableRandom;

/**
 * One bowed string as a digital waveguide: two delay lines, from the bow to the stopping finger and
 * back and from the bow to the bridge and back, that meet where the bow rubs.
 *
 * <p>Velocity waves run in both (J. O. Smith, "Efficient simulation of the reed-bore and bow-string
 * mechanisms", ICMC 1986). At the bow each sample's force and velocity are where the string's line
 * of impedance cuts the friction curve, with the hysteresis of F. G. Friedlander, "On the
 * oscillations of a bowed string", Proc. Camb. Phil. Soc. 49 (1953), and M. E. McIntyre, R. T.
 * Schumacher and J. Woodhouse, "On the oscillations of musical instruments", JASA 74 (1983). Bow
 * forces are given as a share of the largest that sustains the tone: J. C. Schelleng, "The bowed
 * string and the player", JASA 53 (1973).
 *
 * <p>Everything that delays is counted in the length of the lines, and the loss filters delay all
 * frequencies alike, so that the string sounds at the pitch asked for.
 */
final class BowedString {
  /** Frames per second inside the string: twice the takes', since the bow's corners are sharp. */
  static final int RATE = 96_000;

  /** Friction coefficients at rest and at high speed, of the order found for rosin. */
  private static final double STATIC = 0.8;

  private static final double SLIDING = 0.3;

  /** Sliding speed at which half the difference of the two is gone, in m/s. */
  private static final double HALF_SPEED = 0.2;

  /**
   * Outer taps of the loss filters: each end takes 1.4 dB from 10 kHz, as flesh and bridge do, and
   * next to nothing from 1 kHz.
   */
  private static final double LOSS_TAP = 0.2;

  /** Time in which the bow's weight settles on the string, in seconds. */
  private static final double TOUCH_S = 0.008;

  /** Unevenness of rosin and hair: deviation of the bow's speed, as a share of it. */
  private static final double ROUGHNESS = 0.12;

  /** Pole of the unevenness's low pass: about 6 kHz at 96 kHz. */
  private static final double ROUGHNESS_POLE = 0.33;

  /** When vibrato begins, and how long it takes to grow and to fade, in seconds. */
  private static final double VIBRATO_FROM_S = 0.3;

  private static final double VIBRATO_GROWS_S = 0.3;

  /** A power of two above the longest delay: 96000 Hz / 100 Hz, and the interpolator's taps. */
  private static final int RING = 1024;

  private final double[] nut = new double[RING];
  private final double[] bridge = new double[RING];
  private int at;
  private boolean slipping = true;

  /**
   * How a note is bowed.
   *
   * @param hz pitch in hertz, 100 to 2000
   * @param velocity speed of the bow in m/s
   * @param force bow force as a share of the largest that sustains the tone, 0 to 1
   * @param position distance of the bow from the bridge, as a share of the string
   * @param attackS time in which the bow comes to speed, in seconds
   * @param bowS time the bow is on the string, in seconds
   * @param releaseS time in which the bow leaves, at the end of {@code bowS}, in seconds
   * @param vibratoCents half width of the vibrato in cents
   * @param vibratoHz rate of the vibrato in hertz
   * @param ringS time in which the free string falls by 60 dB, in seconds
   */
  record Bowing(
      double hz,
      double velocity,
      double force,
      double position,
      double attackS,
      double bowS,
      double releaseS,
      double vibratoCents,
      double vibratoHz,
      double ringS) {}

  private BowedString() {}

  /**
   * The wave that the bridge feels, from the moment the bow touches.
   *
   * @return {@code seconds} at {@link #RATE}, in m/s
   */
  static float[] play(Bowing bowing, double seconds, SplittableRandom random) {
    return new BowedString().run(bowing, (int) (seconds * RATE), random);
  }

  private float[] run(Bowing b, int frames, SplittableRandom random) {
    float[] out = new float[frames];
    double period = RATE / b.hz;
    double end = StrictMath.sqrt(StrictMath.pow(10, -3 / (b.ringS * b.hz)));
    double outer = end * LOSS_TAP;
    double centre = end * (1 - 2 * LOSS_TAP);
    // Each loss filter delays by one frame.
    double bridgeDelay = period * b.position - 1;
    double nutDelay = period * (1 - b.position) - 1;
    double perCent = period * StrictMath.log(2) / 1200;
    // Schelleng's largest force, over twice the string's impedance.
    double largest = b.velocity / (b.position * (STATIC - SLIDING));
    double rough = 0;
    double nut1 = 0;
    double nut2 = 0;
    double bridge1 = 0;
    double bridge2 = 0;
    for (int i = 0; i < frames; i++) {
      double t = (double) i / RATE;
      double leave = ramp((b.bowS - t) / b.releaseS);
      double speeding = ramp(t / b.attackS);
      rough += ROUGHNESS_POLE * (random.nextDouble() * 2 - 1 - rough);
      double velocity = b.velocity * speeding * (2 - speeding) * (1 + ROUGHNESS * rough);
      double force = b.force * largest * ramp(t / TOUCH_S) * leave;
      double cents = vibrato(b, t);

      double n0 = read(nut, nutDelay - cents * perCent);
      double fromNut = -(outer * (n0 + nut2) + centre * nut1);
      nut2 = nut1;
      nut1 = n0;
      double b0 = read(bridge, bridgeDelay);
      double fromBridge = -(outer * (b0 + bridge2) + centre * bridge1);
      bridge2 = bridge1;
      bridge1 = b0;

      double pull = rub(velocity - fromNut - fromBridge, force);
      nut[at] = fromBridge + pull;
      bridge[at] = fromNut + pull;
      at = (at + 1) & (RING - 1);
      out[i] = (float) fromBridge;
    }
    return out;
  }

  /** How far the finger is off its place at {@code t}, in cents: none at both ends of the bow. */
  private static double vibrato(Bowing b, double t) {
    double into = t - VIBRATO_FROM_S;
    if (b.vibratoCents == 0 || into <= 0 || t >= b.bowS) {
      return 0;
    }
    double depth = ramp(into / VIBRATO_GROWS_S) * ramp((b.bowS - t) / VIBRATO_GROWS_S);
    return b.vibratoCents * depth * StrictMath.sin(2 * Math.PI * b.vibratoHz * into);
  }

  /**
   * What the bow adds to the velocity of the string.
   *
   * @param gap velocity of the bow less the one the string would have without it
   * @param force bow force over twice the string's impedance
   */
  private double rub(double gap, double force) {
    if (force <= 0) {
      slipping = true;
      return 0;
    }
    double d = Math.abs(gap);
    // The hyperbolic curve leaves a quadratic for the speed u at which the string slides:
    // d - u = force (SLIDING + (STATIC - SLIDING) / (1 + u / HALF_SPEED)).
    double half = (d - HALF_SPEED - force * SLIDING) / 2;
    double root = half * half + HALF_SPEED * (d - force * STATIC);
    double u = root < 0 ? -1 : half + Math.sqrt(root);
    // Where it could do both, it goes on with what it did before.
    slipping = slipping ? u > 0 : d > force * STATIC;
    return Math.copySign(slipping ? d - u : d, gap);
  }

  /** Reads a line {@code delay} frames back, by third-order Lagrange interpolation. */
  private double read(double[] line, double delay) {
    int whole = (int) delay;
    double x = delay - whole;
    int i = at - whole;
    double y0 = line[(i + 1) & (RING - 1)];
    double y1 = line[i & (RING - 1)];
    double y2 = line[(i - 1) & (RING - 1)];
    double y3 = line[(i - 2) & (RING - 1)];
    double up = x + 1;
    double down = x - 1;
    double far = x - 2;
    return -y0 * x * down * far / 6
        + y1 * up * down * far / 2
        - y2 * up * x * far / 2
        + y3 * up * x * down / 6;
  }

  private static double ramp(double x) {
    return Math.max(0, Math.min(1, x));
  }
}
