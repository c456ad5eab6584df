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
 * The sounds of a sample besides the sample itself: the take's stretch as recorded, what the noise
 * reduction removed, and the loop as a sampler plays it. Each is a WAV file within the page's data,
 * since a WAV file in the folder would be taken for a sample.
 */
final class SampleSounds {
  /** Context for the noise reduction on either side, in seconds, as when the sample was made. */
  private static final double CONTEXT_S = 0.5;

  /** The longest stretch kept, in seconds; faults are heard within that time. */
  private static final double MAX_SOUND_S = 12;

  /** A loop is heard from this long before its end until this long after, in seconds. */
  private static final double LOOP_S = 2.5;

  /** What was removed is too soft to hear; it is raised, but its peak only to this (-20 dBFS). */
  private static final double REMOVED_PEAK = 0.1;

  private SampleSounds() {}

  /**
   * The sounds of one sample.
   *
   * @param take the microphone that it was made from
   * @param after the sample
   * @param profile the room by which it was cleaned; null: it was not
   */
  static Map<String, Object> of(IndexRow row, AudioFile take, Mono after, NoiseProfile profile)
      throws IOException {
    int rate = take.sampleRate();
    long start = Math.round(row.stretch().startS() * rate);
    long end =
        Math.min(Math.round(row.stretch().endS() * rate), start + (long) (MAX_SOUND_S * rate));
    long from = Math.max(0, start - (long) (CONTEXT_S * rate));
    long to = Math.min(take.frames(), end + (long) (CONTEXT_S * rate));
    take.seek(from);
    Clip wide = Clip.read(take, (int) (to - from));
    Mono before = new Mono(wide.mono(), rate).part(start - from, end - from);
    Map<String, Object> content = new LinkedHashMap<>();
    content.put("before", SoundBytes.wav(before.samples(), before.samples().length, rate, 1));
    if (profile != null) {
      NoiseProfile room = profile.from(from);
      DenoiseSettings settings = new DenoiseSettings(DenoiseSettings.DEFAULTS.amountDb(), room);
      Clip clean = Denoise.apply(wide, settings).audio();
      removed(before, new Mono(clean.mono(), rate).part(start - from, end - from), content);
    }
    if (row.loop().start() != null
        && row.loop().end() != null
        && row.loop().end() < after.samples().length) {
      content.put("loop", loop(after, row.loop().start().intValue(), row.loop().end().intValue()));
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

  /** A sample as a sampler plays it past the end of its loop. */
  static byte[] loop(Mono after, int loopStart, int loopEnd) {
    int around = (int) (LOOP_S * after.sampleRate());
    int first = Math.max(0, loopEnd + 1 - around);
    float[] heard = new float[loopEnd + 1 - first + around];
    int at = first;
    for (int i = 0; i < heard.length; i++) {
      heard[i] = after.samples()[at];
      at = at == loopEnd ? loopStart : at + 1;
    }
    return SoundBytes.wav(heard, heard.length, after.sampleRate(), 1);
  }
}
