package takewright.report;

import java.io.IOException;
import java.util.LinkedHashMap;
import java.util.Map;
import takewright.audio.AudioFile;
import takewright.audio.Clip;
import takewright.denoise.Denoise;
import takewright.denoise.DenoiseSettings;
import takewright.denoise.room.NoiseProfile;
import takewright.dsp.Decibels;
import takewright.library.folder.IndexRow;

/**
 * The sounds of a region besides the file of its sample: the take around it as recorded, what the
 * noise reduction removed, and the sample, for the page to hold by its loop and to play in step
 * with others. Each is a WAV file within the page's data, since a WAV file in the folder would be
 * taken for a sample.
 */
final class SampleSounds {
  /** Context for the noise reduction on either side, in seconds, as when the sample was made. */
  private static final double CONTEXT_S = 0.5;

  /** The longest stretch kept, in seconds; faults are heard within that time. */
  private static final double MAX_SOUND_S = 30;

  /** How much of the take lies before and after a region, in seconds, for moving its ends. */
  private static final double BEFORE_S = 0.75;

  private static final double AFTER_S = 1.5;

  /** What was removed is too soft to hear; it is raised, but its peak only to this (-20 dBFS). */
  private static final double REMOVED_PEAK = 0.1;

  private SampleSounds() {}

  /**
   * The sounds of one region.
   *
   * @param take the microphone that it was made from
   * @param after its sample; null if it has none
   * @param profile the room by which it was cleaned; null: it was not
   */
  static Map<String, Object> of(IndexRow row, AudioFile take, Mono after, NoiseProfile profile)
      throws IOException {
    int rate = take.sampleRate();
    long start = Math.round(row.stretch().startS() * rate);
    long end =
        Math.min(Math.round(row.stretch().endS() * rate), start + (long) (MAX_SOUND_S * rate));
    long from = Math.max(0, start - (long) (BEFORE_S * rate));
    long to = Math.min(take.frames(), end + (long) (AFTER_S * rate));
    take.seek(from);
    Clip wide = Clip.read(take, (int) (to - from));
    float[] around = wide.mono();
    Map<String, Object> content = new LinkedHashMap<>();
    content.put("takeFromS", (double) from / rate);
    content.put("take", SoundBytes.wav(around, around.length, rate, 1));
    if (profile != null) {
      long context = (long) (CONTEXT_S * rate);
      int first = (int) Math.max(0, start - from - context);
      int last = (int) Math.min(around.length, end - from + context);
      Clip dirty = wide.slice(first, last);
      NoiseProfile room = profile.from(from + first);
      DenoiseSettings settings = new DenoiseSettings(DenoiseSettings.DEFAULTS.amountDb(), room);
      Clip clean = Denoise.apply(dirty, settings).audio();
      long at = start - from - first;
      long until = end - from - first;
      removed(
          new Mono(dirty.mono(), rate).part(at, until),
          new Mono(clean.mono(), rate).part(at, until),
          content);
    }
    if (after != null) {
      int frames = (int) Math.min(after.samples().length, MAX_SOUND_S * after.sampleRate());
      content.put("after", SoundBytes.wav(after.samples(), frames, after.sampleRate(), 1));
    }
    return content;
  }

  static void removed(Mono before, Mono clean, Map<String, Object> content) {
    float[] removed = new float[clean.samples().length];
    float max = 1e-5f; // -100 dBFS: nothing was removed
    for (int i = 0; i < removed.length; i++) {
      removed[i] = before.samples()[i] - clean.samples()[i];
      max = Math.max(max, Math.abs(removed[i]));
    }
    double gain = Math.max(1, REMOVED_PEAK / max);
    content.put("removed", SoundBytes.wav(removed, removed.length, before.sampleRate(), gain));
    content.put("removedDb", Math.round(Decibels.fromAmplitude(gain)));
  }
}
