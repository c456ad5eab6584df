package takewright.denoise;

import java.io.IOException;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import takewright.audio.AudioSource;
import takewright.audio.Clip;
import takewright.diagnosis.SettingException;
import takewright.dsp.Decibels;

/**
 * The noise of a room with nobody playing, as power over frequency, averaged over the channels.
 *
 * <p>Immutable, and good for audio of one sample rate.
 */
public final class NoiseProfile {
  private final int sampleRate;
  private final boolean roomTone;
  private final float[] power;
  private final double levelDbfs;
  private final Hum hum;
  private final boolean rumble;

  /** Where the room changed, and to what; empty where it did not. */
  private final List<Long> from;

  private final List<NoiseProfile> rooms;

  NoiseProfile(
      int sampleRate, boolean roomTone, float[] power, double levelDbfs, Hum hum, boolean rumble) {
    this(sampleRate, roomTone, power, levelDbfs, hum, rumble, List.of(), List.of());
  }

  private NoiseProfile(
      int sampleRate,
      boolean roomTone,
      float[] power,
      double levelDbfs,
      Hum hum,
      boolean rumble,
      List<Long> from,
      List<NoiseProfile> rooms) {
    this.sampleRate = sampleRate;
    this.roomTone = roomTone;
    this.power = power;
    this.levelDbfs = levelDbfs;
    this.hum = hum;
    this.rumble = rumble;
    this.from = List.copyOf(from);
    this.rooms = List.copyOf(rooms);
  }

  /** This profile, changing from one room to the next at some frames of the take, the first 0. */
  NoiseProfile changing(List<NoiseProfile> others, List<Long> frames) {

    boolean anyRumble = rumble;
    for (NoiseProfile room : others) {

      anyRumble |= room.rumble;
    }
    List<NoiseProfile> alike = new ArrayList<>();
    for (NoiseProfile room : others) {
      float[] left = room.power.clone();
      if (hum != null) {
        // The lines are subtracted all through the take.
        ProfileLearner.takeOut(hum, left, 2 * (left.length - 1), sampleRate);
      }
      alike.add(new NoiseProfile(sampleRate, true, left, room.levelDbfs, room.hum, room.rumble));
    }
    return new NoiseProfile(sampleRate, roomTone, power, levelDbfs, hum, anyRumble, frames, alike);
  }

  /** Which room it is at a frame of the take: an index for {@link #room}. */
  int roomAt(long frame) {
    int index = 0;
    while (index + 1 < from.size() && frame >= from.get(index + 1)) {
      index++;
    }
    return index;
  }

  /** How many rooms there are, at least 1. */
  int roomCount() {
    return Math.max(1, rooms.size());
  }

  /** One of the rooms; the profile itself where the room did not change. */
  NoiseProfile room(int index) {
    return rooms.isEmpty() ? this : rooms.get(index);
  }

  /**
   * The room as it was at a frame of the take that the profile was learnt from; the profile itself
   * where the room did not change.
   */
  public NoiseProfile at(long frame) {
    return room(roomAt(frame));
  }

  /**
   * Learns a profile from stretches of room tone.
   *
   * <p>Stretches of half a second and more are best. Ones shorter than a frame (170 ms) tell less
   * about low frequencies, and ones under 20 ms are passed over.
   *
   * @param roomTone stretches of one take, all at one sample rate and with the same channels
   * @throws IllegalArgumentException where there is none long enough, or the stretches differ in
   *     sample rate or channels
   */
  public static NoiseProfile of(List<Clip> roomTone) {
    if (roomTone.isEmpty()) {
      throw new SettingException(
          "room_tone", "holds no stretch", "name at least one, of 20 ms or longer");
    }
    Clip first = roomTone.get(0);
    long frames = 0;
    for (Clip clip : roomTone) {
      if (clip.sampleRate() != first.sampleRate() || clip.channels() != first.channels()) {
        throw new SettingException(
            "room_tone",
            "holds stretches of different sample rates or numbers of channels",
            "take all stretches from one take");
      }
      frames += clip.frames();
    }
    ProfileLearner learner = new ProfileLearner(first.sampleRate(), first.channels(), frames);
    for (Clip clip : roomTone) {
      learner.addRoomTone(clip);
    }
    NoiseProfile profile = learner.ofAll();
    if (profile == null) {
      throw new SettingException(
          "room_tone",
          "holds no stretch that is long enough",
          "name at least one of 20 ms or longer");
    }
    return profile;
  }

  /**
   * Learns a profile from the quietest stretches of a take, read once from where it stands to its
   * end. Memory does not grow with its length. Digital silence is no room tone: it is passed over.
   *
   * @return a profile; where the take has no half second of quiet that is steady and 10 dB below
   *     what else is heard, one that knows no noise, with {@link #roomTone()} false
   */
  public static NoiseProfile learn(AudioSource take) throws IOException {
    ProfileLearner learner = new ProfileLearner(take.sampleRate(), take.channels(), Long.MAX_VALUE);
    RoomFollower follower = new RoomFollower(take.sampleRate(), take.channels());
    float[][] block = new float[take.channels()][learner.hop()];
    for (int got = 0; got >= 0; ) {
      int n = 0;
      while (n < learner.hop() && (got = take.read(block, n, learner.hop() - n)) >= 0) {
        n += got;
      }
      if (n == learner.hop()) {
        learner.add(block);
        follower.take(learner);
      }
    }
    NoiseProfile usual = learner.ofQuietest();
    return usual.roomTone() ? follower.follow(usual) : usual;
  }

  /** Frames a second of the audio it was learnt from, and of the audio it serves. */
  public int sampleRate() {
    return sampleRate;
  }

  /** False where no honest room tone was found: then nothing is known of the noise. */
  public boolean roomTone() {
    return roomTone;
  }

  /** The level of the room tone, RMS in dBFS; minus infinity for silence or none. */
  public double levelDbfs() {
    return levelDbfs;
  }

  /** The hum that was found in the room tone; null where there is none. */
  Hum hum() {
    return hum;
  }

  /** Fundamental of the mains hum in the room tone, in hertz; 0 where none was found. */
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

  /** Whether there is nothing to take away. */
  boolean silent() {
    return levelDbfs == Double.NEGATIVE_INFINITY;
  }

  /**
   * One over the noise power of each bin of a frame of {@link Resolution#size} samples under a Hann
   * window.
   */
  float[] inversePower() {
    float[] inverse = new float[power.length];
    // Where the room has no noise at all (above the band of a converter, say) any sound is above
    // it; this floor, 60 dB below the mean, only keeps the numbers finite.
    double mean = 0;
    for (float p : power) {
      mean += p / power.length;
    }
    double least = Math.max(mean * Decibels.toPower(-60), 1e-20);
    for (int k = 0; k < inverse.length; k++) {
      inverse[k] = (float) (1 / Math.max(power[k], least));
    }
    return inverse;
  }

  float[] power() {
    return Arrays.copyOf(power, power.length);
  }
}
