package takewright.denoise.room;

import java.util.Arrays;
import takewright.denoise.band.ThirdOctaves;
import takewright.dsp.Decibels;

/**
 * The noise of the room, frame by frame: what the profile expects there, and what is heard of it.
 */
public final class RoomLevel {
  /** Levels that differ by less than this are taken for the same, in dB. */
  private static final float SAME_DB = 0.05f;

  /** Frames whose corrections are kept: a power of two. */
  private static final int KEPT = 32;

  private final RoomTrack track;
  private final ThirdOctaves bands;
  private final float[] inverseNoise;
  private final LevelFollower follower;

  /** What stands for the expected level of the last frame, by bin: one over the noise. */
  private final float[] expected;

  private final float[] lastLevels;
  private final float[][] levels = new float[KEPT][];
  private final float[][] deviations = new float[KEPT][];
  private final float[][] corrections = new float[KEPT][];
  private final float[] ofBands;
  private final float[] factors;
  private final PassingNoise passing = new PassingNoise();
  private double doubt;
  private long notes;
  private boolean mayHaveLeapt;
  private long frame = -1;

  /**
   * @param channels whose powers are added up
   */
  public RoomLevel(NoiseProfile profile, ThirdOctaves bands, int channels) {
    this.bands = bands;
    track = profile.track();
    inverseNoise = profile.inversePower();
    for (int k = 0; k < inverseNoise.length; k++) {
      inverseNoise[k] /= channels;
    }
    follower = new LevelFollower(bands, inverseNoise.length, profile.heardAs());
    expected = inverseNoise.clone();
    lastLevels = new float[bands.count()];
    ofBands = new float[bands.count()];
    factors = new float[inverseNoise.length];
    for (int i = 0; i < KEPT; i++) {
      levels[i] = new float[bands.count()];
      deviations[i] = new float[bands.count()];
      corrections[i] = new float[bands.count()];
    }
  }

  /** Goes on to the next frame, whose middle lies at a frame of the audio. */
  public void next(long middle) {
    frame++;
    float[] now = levels[slot(0)];
    track.at(Math.max(0, middle), now, deviations[slot(0)]);
    mayHaveLeapt = track.mayHaveLeapt(Math.max(0, middle));
    Arrays.fill(corrections[slot(0)], 0);
    boolean moves = false;
    for (int b = 0; b < now.length; b++) {
      moves |= Math.abs(now[b] - lastLevels[b]) > SAME_DB;
    }
    if (moves) {
      System.arraycopy(now, 0, lastLevels, 0, now.length);
      spread(now, -1);
      for (int k = 0; k < expected.length; k++) {
        expected[k] = inverseNoise[k] * factors[k];
      }
    }
  }

  private void spread(float[] db, int sign) {
    for (int b = 0; b < db.length; b++) {
      ofBands[b] = (float) Decibels.toPower(sign * db[b]);
    }
    bands.spread(ofBands, factors);
  }

  private int slot(int ago) {
    return (int) (frame - ago) & (KEPT - 1);
  }

  /** One over the noise power that is expected in the frame, by bin, all channels together. */
  public float[] expected() {
    return expected;
  }

  /** Whether the frame lies between two pauses between which the whole room leaps. */
  public boolean mayHaveLeapt() {
    return mayHaveLeapt;
  }

  /** Takes the frame's power over the expected noise, by bin. */
  public void hear(float[] ratios) {
    follower.add(ratios);
  }

  /**
   * Brings ratios of the frame {@link LevelFollower#LATENCY} frames back to the level that is
   * heard.
   *
   * @param inNote whether a note is plain to see there
   */
  public void correct(float[] ratios, boolean inNote) {
    int slot = slot(LevelFollower.LATENCY);
    float[] correction = corrections[slot];
    follower.corrections(deviations[slot], inNote, correction);
    passing.add(inNote, ratios, bands, follower.heard());
    if (inNote) {
      doubt += doubtDb(slot);
      notes++;
    }
    boolean any = false;
    for (float db : correction) {
      any |= Math.abs(db) > SAME_DB;
    }
    if (any) {
      spread(correction, -1);
      for (int k = 0; k < ratios.length; k++) {
        ratios[k] *= factors[k];
      }
    }
  }

  /** How far the expected level may be off in a frame, over all bands; in dB. */
  private double doubtDb(int slot) {
    double sum = 0;
    for (float deviation : deviations[slot]) {
      sum += deviation;
    }
    return sum / bands.count();
  }

  /** How far the expected level of the room may have been off under notes so far, in dB. */
  public double doubtDb() {
    return notes == 0 ? 0 : doubt / notes;
  }

  /** Whether noise came and went under a held note so far. */
  public boolean isPassing() {
    return passing.found();
  }

  /** The noise power of each bin some frames ago, as it was heard, all channels together. */
  public void noise(int ago, float[] out) {
    float[] level = levels[slot(ago)];
    float[] correction = corrections[slot(ago)];
    for (int b = 0; b < ofBands.length; b++) {
      ofBands[b] = (float) Decibels.toPower(level[b] + correction[b]);
    }
    bands.spread(ofBands, factors);
    for (int k = 0; k < out.length; k++) {
      out[k] = factors[k] / inverseNoise[k];
    }
  }
}
