package takewright.denoise;

import java.io.IOException;
import java.util.EnumSet;
import java.util.Set;
import takewright.audio.AudioSource;
import takewright.audio.PassingSource;
import takewright.denoise.gain.SpectralSuppressor;
import takewright.denoise.hum.HumRemover;
import takewright.denoise.room.NoiseProfile;
import takewright.denoise.room.RoomTrack;
import takewright.denoise.stage.ClickMender;
import takewright.denoise.stage.RumbleFilter;
import takewright.diagnosis.Flag;
import takewright.diagnosis.Flags;
import takewright.dsp.Decibels;
import takewright.dsp.SumOfSquares;

/**
 * Cleans audio while it is read: repairs clicks, filters rumble, subtracts hum, and reduces the
 * remaining noise, in this order.
 */
public final class DenoisedAudio extends PassingSource {
  /**
   * A sound no louder than this over the room has noises of its own near the room's, which go with
   * it. Chosen from takes, not derived.
   */
  private static final double NEAR_DB = 15;

  /** If hum is within this of the room's level, the room is mostly hum. */
  private static final double HUM_DB = 3;

  /** Length over which the maximum is taken, in seconds. */
  private static final double LOUDEST_S = 0.1;

  private final ClickMender clicks;
  private final SpectralSuppressor suppressor;
  private final NoiseProfile profile;
  private final int stretch;

  /** Power from which on a sound is not near the room. */
  private final double far;

  private double power;
  private int heard;
  private double loudest;

  DenoisedAudio(AudioSource in, double amountDb, NoiseProfile profile) {
    this(amountDb > 0 ? new ClickMender(in) : null, in, amountDb, profile);
  }

  private DenoisedAudio(ClickMender clicks, AudioSource in, double amountDb, NoiseProfile profile) {
    this(clicks, chain(clicks == null ? in : clicks, amountDb, profile), profile);
  }

  private DenoisedAudio(ClickMender clicks, SpectralSuppressor suppressor, NoiseProfile profile) {
    super(suppressor);
    this.clicks = clicks;
    this.suppressor = suppressor;
    this.profile = profile;
    stretch = (int) (LOUDEST_S * suppressor.sampleRate());
    far = Decibels.toPower(profile.levelDbfs() + NEAR_DB);
  }

  private static SpectralSuppressor chain(AudioSource in, double amountDb, NoiseProfile profile) {
    AudioSource audio = in;
    if (amountDb > 0 && profile.rumble()) {
      audio = new RumbleFilter(audio);
    }
    if (amountDb > 0 && profile.hum() != null) {
      audio = new HumRemover(audio, profile.hum());
    }
    return new SpectralSuppressor(audio, profile.silent() ? 0 : amountDb, profile);
  }

  /** Clicks repaired so far; one in several channels counts once for each. */
  public int clicksMended() {
    return clicks == null ? 0 : clicks.clicks();
  }

  /**
   * How far the level of the room that was taken to be under the notes may be off, in dB (one
   * standard deviation, the mean of the bands): it was heard only in the pauses around.
   */
  public double roomUncertaintyDb() {
    return suppressor.room().doubtDb();
  }

  /**
   * Flags of the audio read so far: {@code NO_ROOM_TONE}, {@code HUM}, {@code CLICK_MENDED}, {@code
   * NEAR_ROOM}, {@code ROOM_MOVES}, {@code PASSING_NOISE}.
   */
  public Set<Flag> flags() {
    Set<Flag> flags = EnumSet.noneOf(Flag.class);
    if (!profile.roomTone()) {
      flags.add(Flag.NO_ROOM_TONE);
    }
    if (profile.humDbfs() > profile.levelDbfs() - HUM_DB) {
      flags.add(Flag.HUM);
    }
    if (clicksMended() > 0) {
      flags.add(Flag.CLICK_MENDED);
    }
    if (!profile.silent() && loudest > 0 && loudest < far) {
      flags.add(Flag.NEAR_ROOM);
    }
    if (!profile.silent() && roomUncertaintyDb() > RoomTrack.UNSURE_DB) {
      flags.add(Flag.ROOM_MOVES);
    }
    if (!profile.silent() && suppressor.room().isPassing()) {
      flags.add(Flag.PASSING_NOISE);
    }
    return Flags.copyOf(flags);
  }

  @Override
  public int read(float[][] planar, int offset, int count) throws IOException {
    int n = source.read(planar, offset, count);
    for (int i = 0; i < n && loudest < far; ) {
      int some = Math.min(n - i, stretch - heard);
      for (float[] channel : planar) {
        power += SumOfSquares.of(channel, offset + i, offset + i + some);
      }
      i += some;
      heard += some;
      if (heard == stretch) {
        loudest = Math.max(loudest, power / stretch / planar.length);
        power = 0;
        heard = 0;
      }
    }
    return n;
  }
}
