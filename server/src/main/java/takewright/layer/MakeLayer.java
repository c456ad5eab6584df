package takewright.layer;

import java.util.Arrays;
import takewright.audio.Clip;
import takewright.diagnosis.SettingException;
import takewright.dsp.Decibels;

/**
 * Makes a further layer of a sample: the same note in a room or through effects. The note begins at
 * the frame where it began before; the end is where what was added has died away, never before the
 * sample's own.
 */
public final class MakeLayer {
  /** Highest peak of a result, in dBFS: a little room for what lies between the samples. */
  private static final double CEILING_DBFS = -1;

  /** Below this there is nothing left to hear, in dBFS: under the dither of 16 bits. */
  private static final double SILENCE_DBFS = -100;

  /** Fade into nothing at the end, in seconds. */
  private static final double FADE_S = 0.05;

  /** Share of what was added that is faded where it had to be cut off while it sounded. */
  private static final double LONG_FADE_SHARE = 0.25;

  private MakeLayer() {}

  /**
   * The layer of a sample.
   *
   * @throws IllegalArgumentException if the room's channels do not suit the sample's, or the onset
   *     lies behind its end
   */
  public static LayerResult apply(Clip sample, LayerSettings settings) {
    if (settings.onsetFrame() > sample.frames()) {
      throw new SettingException(
          "onset_frame",
          "is " + settings.onsetFrame() + ", but the sample has " + sample.frames() + " frames",
          "give a frame within the sample");
    }
    Clip layer = settings.room() == null ? sample : RoomReverb.apply(sample, settings.room());
    layer = EffectChain.apply(layer, settings.chain(), (int) settings.onsetFrame());
    layer = ended(layer, sample.frames(), settings.room() != null);
    float peak = 0;
    for (int c = 0; c < layer.channels(); c++) {
      for (float x : layer.channel(c)) {
        peak = Math.max(peak, Math.abs(x));
      }
    }
    double gainDb = Math.min(0, CEILING_DBFS - Decibels.fromAmplitude(Math.max(peak, 1e-10)));
    if (gainDb < 0) {
      float gain = (float) Decibels.toAmplitude(gainDb);
      for (int c = 0; c < layer.channels(); c++) {
        float[] x = layer.channel(c);
        for (int i = 0; i < x.length; i++) {
          x[i] *= gain;
        }
      }
    }
    return new LayerResult(layer, gainDb);
  }

  /** A copy that ends where nothing is heard any more, faded into nothing. */
  private static Clip ended(Clip clip, int min, boolean room) {
    float silence = (float) Decibels.toAmplitude(SILENCE_DBFS);
    int end = clip.frames();
    // A room is kept to its end, which its response has.
    while (!room && end > min && quieter(clip, end - 1, silence)) {
      end--;
    }
    int added = end - min;
    int fade = (int) Math.min(FADE_S * clip.sampleRate(), added);
    if (!room && end == clip.frames() && added > 0) {
      fade = Math.max(fade, (int) (LONG_FADE_SHARE * added));
    }
    float[][] channels = new float[clip.channels()][];
    for (int c = 0; c < channels.length; c++) {
      channels[c] = Arrays.copyOf(clip.channel(c), end);
      for (int i = 0; i < fade; i++) {
        channels[c][end - 1 - i] *= (float) (0.5 - 0.5 * Math.cos(Math.PI * i / fade));
      }
    }
    return Clip.of(clip.sampleRate(), channels);
  }

  private static boolean quieter(Clip clip, int frame, float level) {
    for (int c = 0; c < clip.channels(); c++) {
      if (Math.abs(clip.channel(c)[frame]) > level) {
        return false;
      }
    }
    return true;
  }
}
