package takewright.denoise;

import java.io.IOException;
import java.io.UncheckedIOException;
import takewright.audio.AudioSource;
import takewright.audio.Clip;
import takewright.denoise.room.NoiseProfile;
import takewright.diagnosis.SettingException;

/**
 * Removes the noise of the room from audio, and keeps bow, breath and tails.
 *
 * <p>Every bin of a short-time spectrum gets a gain from {@code GainEstimator}; where no note
 * sounds the gain is the same everywhere, so that what is left of the room has its colour and does
 * not chirp. All channels get the same gains, so that the stereo image stays.
 */
public final class Denoise {
  /**
   * Maximum number of quiet stretches in which the floor is measured: as many as the room around a
   * note has.
   */
  private static final int STRETCHES = 8;

  private Denoise() {}

  /**
   * Removes the noise that {@code settings} describe.
   *
   * <p>Without a profile the noise is learnt from the audio itself. Where it holds no room tone
   * nothing is taken away, and the result says "no_room_tone". Samples that are not numbers become
   * 0.
   *
   * @throws IllegalArgumentException if the profile is of another sample rate
   */
  public static DenoiseResult apply(Clip audio, DenoiseSettings settings) {
    try {
      NoiseProfile profile = settings.profile();
      if (profile == null) {
        profile = NoiseProfile.learn(audio.source());
      }
      DenoisedAudio source =
          stream(audio.source(), new DenoiseSettings(settings.amountDb(), profile));
      Clip result = Clip.read(source, audio.frames());
      Floor floor = Floor.measure(audio, result, STRETCHES);
      // The quietest stretches lie a little below the room's mean level, before and after alike:
      // their drop is right, and the profile knows the level better.
      double before = profile.silent() ? floor.beforeDbfs() : profile.levelDbfs();
      double drop = floor.beforeDbfs() - floor.afterDbfs();
      return new DenoiseResult(
          result,
          before,
          before - (Double.isFinite(drop) ? drop : 0),
          settings.amountDb() > 0 ? profile.humHz() : 0,
          settings.amountDb() > 0 ? profile.humDbfs() : Double.NEGATIVE_INFINITY,
          source.clicksMended(),
          source.roomUncertaintyDb(),
          source.flags());
    } catch (IOException e) {
      throw new UncheckedIOException("a clip in memory cannot fail to be read", e);
    }
  }

  /**
   * The audio without its noise, read block by block: the same samples as {@link #apply} gives, as
   * many frames as {@code in} has, in memory that does not grow with its length. Closing it closes
   * {@code in}.
   *
   * @throws IllegalArgumentException if the settings hold no profile, or one of another sample rate
   */
  public static DenoisedAudio stream(AudioSource in, DenoiseSettings settings) {
    NoiseProfile profile = settings.profile();
    if (profile == null) {
      throw new IllegalArgumentException("profile is needed where audio is streamed");
    }
    if (profile.sampleRate() != in.sampleRate()) {
      throw new SettingException(
          "room_tone",
          "was learnt at "
              + profile.sampleRate()
              + " Hz, but the audio has "
              + in.sampleRate()
              + " Hz",
          "learn it from the same take");
    }
    return new DenoisedAudio(in, settings.amountDb(), profile);
  }
}
