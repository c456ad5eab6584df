package takewright.audio;

import java.util.List;

/**
 * The chunks beside the audio of a WAV file; null parts are not written.
 *
 * @param sampler the {@code smpl} chunk
 * @param instrument the {@code inst} chunk
 * @param broadcast the {@code bext} chunk
 * @param info the {@code LIST INFO} chunk; {@link RiffInfo#NONE} for none
 */
public record WavChunks(
    Sampler sampler, Instrument instrument, Broadcast broadcast, RiffInfo info) {
  /** No further chunks. */
  public static final WavChunks NONE = new WavChunks(null, null, null);

  /** Chunks without texts. */
  public WavChunks(Sampler sampler, Instrument instrument, Broadcast broadcast) {
    this(sampler, instrument, broadcast, RiffInfo.NONE);
  }

  /**
   * The same on the keys and velocities of another {@code inst} chunk; the gain stays.
   *
   * @param keys null leaves them as they are
   */
  public WavChunks onKeys(Instrument keys) {
    if (keys == null) {
      return this;
    }
    Instrument placed =
        new Instrument(
            keys.unityNote(),
            keys.fineTuneCents(),
            instrument.gainDb(),
            keys.lowNote(),
            keys.highNote(),
            keys.lowVelocity(),
            keys.highVelocity());
    Sampler moved = new Sampler(keys.unityNote(), sampler.cents(), sampler.loops());
    return new WavChunks(moved, placed, broadcast, info);
  }

  /**
   * The {@code smpl} chunk (RIFF multimedia standards update, 1994).
   *
   * @param unityNote MIDI note at which the sample plays back unchanged, 0 to 127
   * @param cents how far the sample sounds above that note, in cents, 0 up to 100
   * @param loops loops, may be empty
   */
  public record Sampler(int unityNote, double cents, List<SampleLoop> loops) {
    public Sampler {
      if (unityNote < 0 || unityNote > 127) {
        throw new IllegalArgumentException("unity note must be 0 to 127, not " + unityNote);
      }
      if (!(cents >= 0 && cents < 100)) {
        throw new IllegalArgumentException("cents must be 0 up to 100, not " + cents);
      }
      loops = List.copyOf(loops);
    }
  }

  /**
   * A forward loop.
   *
   * @param start its first frame, 0 or more
   * @param end its last frame, played too; below 2^32
   */
  public record SampleLoop(long start, long end) {
    public SampleLoop {
      if (start < 0 || end < start || end > 0xFFFF_FFFFL) {
        throw new IllegalArgumentException(
            "a loop must start at 0 or later and end below 2^32, not from " + start + " to " + end);
      }
    }
  }

  /**
   * The {@code inst} chunk.
   *
   * @param unityNote MIDI note, 0 to 127
   * @param fineTuneCents -50 to 50
   * @param gainDb -64 to 64
   * @param lowNote lowest key, 0 to 127
   * @param highNote highest key, 0 to 127
   * @param lowVelocity lowest velocity, 1 to 127
   * @param highVelocity highest velocity, 1 to 127
   */
  public record Instrument(
      int unityNote,
      int fineTuneCents,
      int gainDb,
      int lowNote,
      int highNote,
      int lowVelocity,
      int highVelocity) {
    public Instrument {
      check("unity note", unityNote, 0, 127);
      check("fine tune", fineTuneCents, -50, 50);
      check("gain", gainDb, -64, 64);
      check("low note", lowNote, 0, highNote);
      check("high note", highNote, 0, 127);
      check("low velocity", lowVelocity, 1, highVelocity);
      check("high velocity", highVelocity, 1, 127);
    }

    private static void check(String name, int value, int min, int max) {
      if (value < min || value > max) {
        throw new IllegalArgumentException(
            name + " must be " + min + " to " + max + ", not " + value);
      }
    }
  }

  /**
   * The {@code bext} chunk, version 1 (EBU Tech 3285).
   *
   * @param description what it is, up to 256 ASCII characters
   * @param originator who made it, up to 32
   * @param originatorReference which one it is, up to 32
   * @param date yyyy-mm-dd, or empty if it is not known
   * @param time hh:mm:ss, or empty
   * @param timeReference frames since midnight of the first frame
   */
  public record Broadcast(
      String description,
      String originator,
      String originatorReference,
      String date,
      String time,
      long timeReference) {}
}
