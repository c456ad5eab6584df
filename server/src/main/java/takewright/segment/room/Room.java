package takewright.segment.room;

import java.util.Arrays;
import takewright.dsp.Decibels;

/**
 * The room at one moment: by band, its power and the thresholds that a sound must pass to start and
 * to stay.
 */
public final class Room {
  private final double leastStartDb;
  private final double leastStayDb;
  private final float[] power;
  private final float[] start;
  private final float[] stay;
  private final float[] fade;
  private final double[] strayDb;

  private double total;

  /**
   * Creates a room of which nothing is known yet.
   *
   * @param leastStartDb least rise over the room that may start a sound, in dB
   * @param leastStayDb least rise over the room that may keep it going, in dB
   */
  public Room(int bands, double leastStartDb, double leastStayDb) {
    this.leastStartDb = leastStartDb;
    this.leastStayDb = leastStayDb;
    power = new float[bands];
    start = new float[bands];
    stay = new float[bands];
    fade = new float[bands];
    strayDb = new double[bands];
  }

  void silence(float least) {
    Arrays.fill(power, least);
    Arrays.fill(start, (float) (least * Decibels.toPower(leastStartDb)));
    Arrays.fill(stay, (float) (least * Decibels.toPower(leastStayDb)));
    System.arraycopy(stay, 0, fade, 0, fade.length);
    Arrays.fill(strayDb, 0);
    total = 0;
  }

  /**
   * Sets a band's power and how far it strays by itself, in dB.
   *
   * @param pairDb over two columns, as often as a false start may be
   * @param slabDb over about nine columns, as often as a sound may be held on to by chance
   * @param steadyDb the same where nothing but the room is heard for certain
   */
  void learn(int band, float level, double pairDb, double slabDb, double steadyDb) {
    power[band] = level;
    strayDb[band] = pairDb;
    double startDb = Math.max(leastStartDb, pairDb);
    double stayDb = Math.max(leastStayDb, slabDb);
    start[band] = (float) (level * Decibels.toPower(startDb));
    stay[band] = (float) (level * Decibels.toPower(Math.min(startDb, stayDb)));
    double fadeDb = Math.max(leastStayDb, steadyDb);
    fade[band] = (float) (level * Decibels.toPower(Math.min(startDb, fadeDb)));
  }

  /**
   * Sets how a band is where nothing dies away any more, if that is less.
   *
   * @param sunkDb how far it strays there over about nine columns, in dB
   */
  void learnSunk(int band, float level, double sunkDb) {
    double fadeDb = Math.max(leastStayDb, sunkDb);
    fade[band] = (float) Math.min(fade[band], level * Decibels.toPower(fadeDb));
  }

  /** Mean square of a band's bins. */
  public float power(int band) {
    return power[band];
  }

  /** How far a band strays upwards over two columns once in ten minutes, in dB. */
  double strayDb(int band) {
    return strayDb[band];
  }

  /** Power over two columns from which on a sound may have begun. */
  public float start(int band) {
    return start[band];
  }

  /** Power over nine columns from which on a sound is still there. */
  public float stay(int band) {
    return stay[band];
  }

  /**
   * Power over nine columns from which on a sound that only dies away is still there: no more than
   * {@link #stay}, since what the room does now and then rises again.
   */
  public float fade(int band) {
    return fade[band];
  }

  /** Mean square of the room in all bands together. */
  public double total() {
    return total;
  }

  /** Sets the mean square of the room in all bands together. */
  public void learnTotal(double meanSquare) {
    total = meanSquare;
  }

  /** The power of all bands together, each as often as it has bins. */
  public double powerIn(BandSpectrum bands) {
    return sum(power, bands);
  }

  /** The same of the power from which on a sound may have begun. */
  public double startIn(BandSpectrum bands) {
    return sum(start, bands);
  }

  private static double sum(float[] level, BandSpectrum bands) {
    double sum = 0;
    for (int b = 0; b < level.length; b++) {
      sum += level[b] * bands.bins(b);
    }
    return sum;
  }
}
