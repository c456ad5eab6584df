package takewright.map;

import java.io.IOException;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import takewright.audio.AudioSource;
import takewright.audio.Clip;
import takewright.dsp.Decibels;
import takewright.dsp.Resampler;

/**
 * Plays notes through the samples of a key map, as a sampler would: keys beside a root by
 * resampling, round robins in turn, loops for as long as a key is held, and releases.
 */
public final class Player {
  /** Maximum peak of the result, in dBFS. */
  private static final double CEILING_DBFS = -1;

  /** A release ends at this level, in dB. */
  private static final double RELEASED_DB = -60;

  /** The end of a release, in seconds, which fades to zero. */
  private static final double LAST_S = 0.005;

  /** Frames rendered at a time. */
  private static final int BLOCK = 4096;

  private Player() {}

  /**
   * A note to play.
   *
   * @param startS when it is struck, in seconds, 0 or more
   * @param lengthS how long it is held, in seconds, above 0
   * @param key MIDI note number, 0 to 127
   * @param velocity 1 to 127
   */
  public record NoteEvent(double startS, double lengthS, int key, int velocity) {
    public NoteEvent {
      if (!(startS >= 0 && lengthS > 0 && startS + lengthS < 1e6)) {
        throw new IllegalArgumentException(
            "a note must start at 0 s or later and be longer than 0 s, not "
                + startS
                + " and "
                + lengthS);
      }
      if (key < 0 || key > 127 || velocity < 1 || velocity > 127) {
        throw new IllegalArgumentException(
            "a note must have a key of 0 to 127 and a velocity of 1 to 127, not "
                + key
                + " and "
                + velocity);
      }
    }
  }

  /**
   * What was played.
   *
   * @param audio in stereo
   * @param gainDb how far it was lowered to keep its peak at -1 dBFS or below, in dB, 0 or less
   * @param unplayed notes that no zone answers
   * @param ranOut notes that were held for longer than their sample lasts
   */
  public record Performance(
      Clip audio, double gainDb, List<NoteEvent> unplayed, List<RanOut> ranOut) {}

  /**
   * A note whose sample has no loop and ended while the key was still down.
   *
   * @param note the note
   * @param soundedS how long it sounded, in seconds
   */
  public record RanOut(NoteEvent note, double soundedS) {}

  /**
   * Plays notes.
   *
   * @param zones of one articulation and layer
   * @param notes in any order
   * @param sampleRate of the result, in hertz
   */
  public static Performance apply(
      List<Zone> zones, List<NoteEvent> notes, int sampleRate, Samples samples) throws IOException {
    List<NoteEvent> ordered = new ArrayList<>(notes);
    ordered.sort(Comparator.comparingDouble(NoteEvent::startS));
    List<NoteEvent> unplayed = new ArrayList<>();
    Map<String, Integer> turns = new HashMap<>();
    List<Voice> voices = new ArrayList<>();
    long frames = 0;
    for (NoteEvent note : ordered) {
      Zone zone = choose(zones, note, turns);
      if (zone == null) {
        unplayed.add(note);
        continue;
      }
      Voice voice = new Voice(note, zone, sampleRate);
      voices.add(voice);
      frames = Math.max(frames, voice.start + voice.length());
    }
    if (frames > Integer.MAX_VALUE - 8) {
      throw new IllegalArgumentException("the notes together are too long to play");
    }
    float[][] mix = new float[2][(int) frames];
    List<RanOut> ranOut = new ArrayList<>();
    int end = 0;
    for (Voice voice : voices) {
      int voiceEnd = voice.play(samples, mix);
      end = Math.max(end, voiceEnd);
      if (voiceEnd - voice.start < voice.held) {
        ranOut.add(new RanOut(voice.note, (double) (voiceEnd - voice.start) / sampleRate));
      }
    }
    Clip audio = Clip.of(sampleRate, mix).slice(0, end);
    return new Performance(audio, lower(audio), unplayed, ranOut);
  }

  /** The zone whose turn it is; null if none answers. */
  private static Zone choose(List<Zone> zones, NoteEvent note, Map<String, Integer> turns) {
    List<Zone> answering = new ArrayList<>();
    for (Zone zone : zones) {
      if (zone.answers(note.key, note.velocity)) {
        answering.add(zone);
      }
    }
    if (answering.isEmpty()) {
      return null;
    }
    answering.sort(Comparator.comparingInt(Zone::rr));
    // Neighbouring keys of one root share its round robins, so that no sample sounds twice in a
    // row.
    String cell = answering.get(0).root() + "/" + answering.get(0).lowVelocity();
    int turn = turns.merge(cell, 1, Integer::sum) - 1;
    return answering.get(turn % answering.size());
  }

  private static double lower(Clip audio) {
    float peak = 0;
    for (int c = 0; c < audio.channels(); c++) {
      for (float x : audio.channel(c)) {
        peak = Math.max(peak, Math.abs(x));
      }
    }
    double gainDb = Math.min(0, CEILING_DBFS - Decibels.fromAmplitude(Math.max(peak, 1e-10)));
    float gain = (float) Decibels.toAmplitude(gainDb);
    for (int c = 0; c < audio.channels() && gainDb < 0; c++) {
      float[] x = audio.channel(c);
      for (int i = 0; i < x.length; i++) {
        x[i] *= gain;
      }
    }
    return gainDb;
  }

  /** A sounding note. */
  private static final class Voice {
    private final NoteEvent note;
    private final Zone zone;
    private final int rate;
    private final int start;
    private final int held;
    private final int release;

    Voice(NoteEvent note, Zone zone, int rate) {
      this.note = note;
      this.zone = zone;
      this.rate = rate;
      start = (int) Math.min(Integer.MAX_VALUE / 2, Math.round(note.startS * rate));
      held = (int) Math.min(Integer.MAX_VALUE / 4, Math.round(note.lengthS * rate));
      release = (int) Math.max(LAST_S * rate, zone.releaseMs() / 1000 * rate);
    }

    /** Maximum length, in frames. */
    long length() {
      return (long) held + release;
    }

    /** Adds it to the mix; returns the frame at which it ends. */
    int play(Samples samples, float[][] mix) throws IOException {
      Clip sample;
      try (AudioSource source = samples.open(zone)) {
        sample = read(source);
      }
      int channels = Math.min(2, sample.channels());
      Resampler resampler =
          new Resampler(
              sample.sampleRate(), rate / Math.pow(2, (note.key - zone.root()) / 12.0), channels);
      Looped looped = new Looped(sample, zone, channels);
      float[][] block = new float[channels][BLOCK];
      int length = (int) Math.min(length(), (long) mix[0].length - start);
      int done = 0;
      while (done < length) {
        int n = resampler.read(block, 0, Math.min(BLOCK, length - done));
        if (n < 0) {
          break;
        }
        if (n == 0) {
          looped.feed(resampler);
        }
        for (int i = 0; i < n; i++) {
          float gain = gain(done + i);
          mix[0][start + done + i] += gain * block[0][i];
          mix[1][start + done + i] += gain * block[channels - 1][i];
        }
        done += n;
      }
      return start + done;
    }

    /** Reads only as much of a sample as is heard. */
    private Clip read(AudioSource source) throws IOException {
      double speed = Math.pow(2, (note.key - zone.root()) / 12.0) * source.sampleRate() / rate;
      long needed = (long) (length() * speed) + source.sampleRate();
      if (zone.loopEnd() != null) {
        needed = Math.max(needed, zone.loopEnd() + 1);
      }
      return Clip.read(source, (int) Math.min(source.frames(), needed));
    }

    private float gain(int frame) {
      // With a single dynamic, velocity sets the level; several dynamics keep their levels.
      boolean single = zone.lowVelocity() == 1 && zone.highVelocity() == 127;
      double db = zone.gainDb() + (single ? 40 * Math.log10(note.velocity / 127.0) : 0);
      double gain = Decibels.toAmplitude(db);
      int after = frame - held;
      if (after > 0) {
        gain *= Decibels.toAmplitude(RELEASED_DB * after / release);
        gain *= Math.min(1, (release - after) / (LAST_S * rate));
      }
      return (float) gain;
    }
  }

  /** The frames of a sample with its loop repeated. */
  private static final class Looped {
    private final float[][] channels;
    private final int frames;
    private final int loopStart;
    private final int loopEnd;
    private int at;

    Looped(Clip sample, Zone zone, int count) {
      channels = new float[count][];
      for (int c = 0; c < count; c++) {
        channels[c] = sample.channel(c);
      }
      frames = sample.frames();
      boolean loops = zone.loopStart() != null && zone.loopEnd() != null && zone.loopEnd() < frames;
      loopStart = loops ? (int) (long) zone.loopStart() : 0;
      loopEnd = loops ? (int) (zone.loopEnd() + 1) : -1;
    }

    void feed(Resampler resampler) {
      int end = loopEnd < 0 ? frames : loopEnd;
      if (at == end && loopEnd >= 0) {
        at = loopStart;
      }
      if (at == end) {
        resampler.end();
        return;
      }
      at += resampler.write(channels, at, end - at);
    }
  }
}
