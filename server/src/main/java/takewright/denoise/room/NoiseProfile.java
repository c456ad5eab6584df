package takewright.denoise.room;

import java.io.IOException;
import java.util.Arrays;
import java.util.List;
import takewright.audio.AudioSource;
import takewright.audio.Clip;
import takewright.denoise.band.SpreadFactors;
import takewright.denoise.band.StftSize;
import takewright.denoise.band.ThirdOctaves;
import takewright.denoise.hum.Hum;
import takewright.diagnosis.SettingException;
import takewright.dsp.Decibels;

/**
 * The noise of a room with nobody playing: its power over frequency, averaged over the channels,
 * how that moves over the take, and how restless it is.
 *
 * <p>Immutable, and good for audio of one sample rate.
 */
public final class NoiseProfile {
  /** The quietest bin counts as this far below the mean at least, which keeps numbers finite. */
  private static final double QUIETEST_DB = -60;

  private final int sampleRate;
  private final boolean roomTone;
  private final float[] power;
  private final double levelDbfs;
  private final Hum hum;
  private final double[] tonesHz;
  private final boolean rumble;
  private final RoomTrack track;
  private final float[] heardAs;
  private final SpreadFactors spreadFactors;

  /**
   * @param power of each bin of a frame of {@link StftSize#size} samples under a Hann window, at
   *     the mean level of the track
   * @param heardAs what {@link LevelFollower} hears the room itself as, by band, in dB
   */
  NoiseProfile(
      int sampleRate,
      boolean roomTone,
      float[] power,
      double levelDbfs,
      Hum hum,
      double[] tonesHz,
      boolean rumble,
      RoomTrack track,
      float[] heardAs,
      SpreadFactors spreadFactors) {
    this.sampleRate = sampleRate;
    this.roomTone = roomTone;
    this.power = power;
    this.levelDbfs = levelDbfs;
    this.hum = hum;
    this.tonesHz = tonesHz;
    this.rumble = rumble;
    this.track = track;
    this.heardAs = heardAs;
    this.spreadFactors = spreadFactors;
  }

  /** The profile of a take without room tone. */
  static NoiseProfile unknown(int sampleRate, int bins) {
    int bands = new ThirdOctaves(bins).count();
    return new NoiseProfile(
        sampleRate,
        false,
        new float[bins],
        Double.NEGATIVE_INFINITY,
        null,
        new double[0],
        false,
        RoomTrack.steady(sampleRate, new float[bands]),
        new float[bands],
        SpreadFactors.none(bands));
  }

  /**
   * Learns a profile from stretches of room tone, of which nothing is known but that they are of
   * one take.
   *
   * <p>Stretches of half a second and more are best. Ones shorter than a frame (170 ms) tell less
   * about low frequencies, and ones under 20 ms are skipped.
   *
   * @param roomTone stretches of one take, all at one sample rate and with the same channels
   * @throws IllegalArgumentException if there is none long enough, or the stretches differ in
   *     sample rate or channels
   */
  public static NoiseProfile of(List<Clip> roomTone) {
    if (roomTone.isEmpty()) {
      throw new SettingException(
          "room_tone", "holds no stretch", "name at least one, of 20 ms or longer");
    }
    Clip first = roomTone.get(0);
    RoomLearner learner = new RoomLearner(first.sampleRate(), first.channels());
    long at = 0;
    for (Clip clip : roomTone) {
      if (clip.sampleRate() != first.sampleRate() || clip.channels() != first.channels()) {
        throw new SettingException(
            "room_tone",
            "holds stretches of different sample rates or numbers of channels",
            "take all stretches from one take");
      }
      learner.add(clip, at);
      at += 2L * clip.frames() + first.sampleRate();
    }
    NoiseProfile profile = learner.profileWithoutTimes();
    if (profile == null) {
      throw new SettingException(
          "room_tone",
          "holds no stretch that is long enough",
          "name at least one of 20 ms or longer");
    }
    return profile;
  }

  /**
   * Learns a profile from the pauses of a take, read once from where it stands to its end. Memory
   * does not grow with its length. Digital silence is no room tone: it is skipped.
   *
   * @return a profile; where the take has no half second that is smooth as noise is and 10 dB below
   *     what else is heard, one that knows no noise, with {@link #roomTone()} false
   */
  public static NoiseProfile learn(AudioSource take) throws IOException {
    RoomLearner learner = new RoomLearner(take.sampleRate(), take.channels());
    learner.listen(take);
    return learner.profileOfPauses();
  }

  /**
   * The same room for audio that begins at a frame of the take that the profile was learnt from.
   */
  public NoiseProfile from(long frame) {
    return new NoiseProfile(
        sampleRate,
        roomTone,
        power,
        levelDbfs,
        hum,
        tonesHz,
        rumble,
        track.from(frame),
        heardAs,
        spreadFactors);
  }

  /** Frames per second of the audio it was learnt from, and of the audio it serves. */
  public int sampleRate() {
    return sampleRate;
  }

  /** Whether room tone was found; without it nothing is known about the noise. */
  public boolean roomTone() {
    return roomTone;
  }

  /** The level of the room tone, RMS in dBFS; minus infinity for silence or none. */
  public double levelDbfs() {
    return levelDbfs;
  }

  /** The hum that was found in the room tone; null if there is none. */
  public Hum hum() {
    return hum;
  }

  /** Frequencies of the tones of machines in the room, the strongest first, in hertz. */
  public double[] tonesHz() {
    return tonesHz.clone();
  }

  /** Fundamental of the mains hum in the room tone, in hertz; 0 if none was found. */
  public double humHz() {
    return hum == null ? 0 : hum.fundamentalHz();
  }

  /** Level of that hum, RMS in dBFS; minus infinity where none was found. */
  public double humDbfs() {
    return hum == null ? Double.NEGATIVE_INFINITY : hum.levelDbfs();
  }

  /** Whether the room tone holds much that lies below the lowest notes: rumble, or a constant. */
  public boolean rumble() {
    return rumble;
  }

  /** How the level moves over the take. */
  public RoomTrack track() {
    return track;
  }

  /** See {@link RoomTrack#hiddenDoubtDb}. */
  public double hiddenDoubtDb() {
    return track.hiddenDoubtDb();
  }

  /** See {@link RoomTrack#isRestless}. */
  public boolean isRestless() {
    return track.isRestless();
  }

  /** What the room itself is heard as by {@link LevelFollower}, by band, in dB. */
  float[] heardAs() {
    return heardAs;
  }

  /** How much higher than Gaussian noise the room reaches. */
  public SpreadFactors spreadFactors() {
    return spreadFactors;
  }

  /** Whether there is nothing to remove. */
  public boolean silent() {
    return levelDbfs == Double.NEGATIVE_INFINITY;
  }

  /**
   * One over the noise power of each bin of a frame of {@link StftSize#size} samples under a Hann
   * window.
   */
  float[] inversePower() {
    float[] inverse = new float[power.length];
    // Where the room has no noise at all (above the band of a converter, say) any sound is above
    // it; this floor only keeps the numbers finite.
    double mean = 0;
    for (float p : power) {
      mean += p / power.length;
    }
    double minPower = Math.max(mean * Decibels.toPower(QUIETEST_DB), 1e-20);
    for (int k = 0; k < inverse.length; k++) {
      inverse[k] = (float) (1 / Math.max(power[k], minPower));
    }
    return inverse;
  }

  public float[] power() {
    return Arrays.copyOf(power, power.length);
  }
}
