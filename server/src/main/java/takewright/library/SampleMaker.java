package takewright.library;

import java.io.IOException;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import takewright.analyse.Analyse;
import takewright.analyse.AnalyseSettings;
import takewright.analyse.Pitch;
import takewright.analyse.SampleFacts;
import takewright.audio.AudioFile;
import takewright.audio.Clip;
import takewright.audio.WavChunks;
import takewright.audio.WavWriter;
import takewright.denoise.Denoise;
import takewright.denoise.DenoiseResult;
import takewright.denoise.DenoiseSettings;
import takewright.denoise.NoiseProfile;
import takewright.retune.Retune;
import takewright.retune.RetuneSettings;
import takewright.segment.Kind;
import takewright.segment.Region;

/**
 * Makes one sample from its region, in the order the sound takes: read, clean, cut, fade, tune,
 * guard the peak, write, measure.
 */
final class SampleMaker {
  /**
   * Audio read on either side of a region, in seconds, so that the noise reduction hears what was
   * before and after; it is cut off again.
   */
  private static final double CONTEXT_S = 0.5;

  /** Share of the pre-roll that is faded in: the fade ends before the attack. */
  static final double FADE_IN_SHARE = 0.5;

  /** Fade-out at the end of a region, in seconds: within the tail that lies behind the sound. */
  static final double FADE_OUT_S = 0.08;

  /** Beyond this a note is not tuned but flagged, in cents: it is rather another note. */
  private static final double LIMIT_CENTS = 60;

  /** No sample's true peak lies above this, in dBTP, as is common practice for delivery. */
  private static final double CEILING_DBTP = -1;

  /** What is said of a region that holds for its sample too. */
  private static final List<String> FLAGS_OF_REGION =
      List.of("clipped", Decisions.FORCED, Bars.SHORT);

  private SampleMaker() {}

  /**
   * What is to be made.
   *
   * @param region the region that fills the cell
   * @param cell the cell
   * @param tuningHz frequency of A4 in hertz
   * @param amountDb noise reduction in dB
   * @param sampleRate of the sample, in hertz
   * @param bitDepth of the sample: 16, 24 or 32
   */
  record Order(
      Region region, Cell cell, double tuningHz, double amountDb, int sampleRate, int bitDepth) {}

  /**
   * One microphone of the order.
   *
   * @param take its recording
   * @param profile its room tone; null where there is none in the take
   * @param file the sample to write
   * @param description what it is, for the file's bext chunk
   */
  record Source(Path take, NoiseProfile profile, Path file, String description) {}

  /** What was heard in the take, by which all microphones of a region are tuned alike. */
  record Tuning(Double centsBefore, double moveCents, List<String> flags) {}

  /** Measures how far a region is off its cell's note, and says how far to move it. */
  static Tuning tuning(Order order, Path take) throws IOException {
    if (order.region().kind() != Kind.PITCHED || order.cell().midi() == null) {
      return new Tuning(null, 0, List.of());
    }
    Clip raw;
    try (AudioFile file = AudioFile.open(take)) {
      raw = read(file, order.region().onset(), order.region().end());
    }
    Pitch pitch = Analyse.pitch(raw, listening(order));
    if (pitch == null) {
      return new Tuning(null, 0, List.of("no_pitch"));
    }
    double cents = centsOff(pitch, order.cell().midi());
    // A slip of whole octaves says nothing about the tuning within it.
    double within = cents - 1200 * Math.round(cents / 1200);
    List<String> flags = new ArrayList<>();
    if (Math.abs(cents - within) > 1) {
      flags.add("octave_unsure");
    }
    if (Math.abs(within) > LIMIT_CENTS) {
      flags.add("beyond_limit");
      return new Tuning(within, 0, flags);
    }
    return new Tuning(within, -within, flags);
  }

  /** How a sample of the order's cell is listened to: for the note that it should be. */
  private static AnalyseSettings listening(Order order) {
    double hz = order.tuningHz() * Math.pow(2, (order.cell().midi() - 69) / 12.0);
    return new AnalyseSettings(false, order.tuningHz()).expecting(hz);
  }

  /** Makes the sample of one microphone and answers what was measured. */
  static SampleMeasures make(Order order, Tuning tuning, Source source) throws IOException {
    Region region = order.region();
    List<String> flags = new ArrayList<>(tuning.flags());
    for (String flag : FLAGS_OF_REGION) {
      if (region.flags().contains(flag)) {
        flags.add(flag);
      }
    }
    if (region.rejected()) {
      // The segmenter alone would have thrown it out; the order of the sheet says what it is.
      flags.add("unsure");
    }
    Clip cut;
    DenoiseResult cleaned = null;
    try (AudioFile file = AudioFile.open(source.take())) {
      long context = (long) (CONTEXT_S * file.sampleRate());
      long from = Math.max(0, region.start() - context);
      long to = Math.min(file.frames(), region.end() + context);
      Clip wide = read(file, from, to);
      if (source.profile() != null && order.amountDb() > 0) {
        cleaned = Denoise.apply(wide, new DenoiseSettings(order.amountDb(), source.profile()));
        wide = cleaned.audio();
      } else {
        flags.add("no_room_tone");
      }
      cut = wide.slice((int) (region.start() - from), (int) (region.end() - from));
    }
    int preRoll = (int) (region.onset() - region.start());
    fade(cut, (int) (FADE_IN_SHARE * preRoll), (int) (FADE_OUT_S * cut.sampleRate()));
    Clip tuned = Retune.apply(cut, new RetuneSettings(tuning.moveCents(), order.sampleRate()));

    SampleFacts facts =
        Analyse.apply(
            tuned,
            tuning.centsBefore() == null
                ? new AnalyseSettings(true, order.tuningHz())
                : listening(order));
    double gain = Math.min(0, CEILING_DBTP - facts.peakDbtp());
    if (gain < 0) {
      amplify(tuned, Math.pow(10, gain / 20));
    }
    for (String flag : facts.flags()) {
      if (!flags.contains(flag)) {
        flags.add(flag);
      }
    }
    WavWriter.write(source.file(), tuned, order.bitDepth(), chunks(order, source));
    Integer midi = order.cell().midi();
    return new SampleMeasures(
        tuning.centsBefore(),
        facts.pitch() == null || midi == null ? null : centsOff(facts.pitch(), midi),
        Double.isNaN(facts.levelLufs()) ? null : facts.levelLufs() + gain,
        facts.peakDbtp() + gain,
        cleaned == null ? null : cleaned.floorBeforeDbfs(),
        cleaned == null ? null : cleaned.floorAfterDbfs() + gain,
        gain,
        flags);
  }

  private static WavChunks chunks(Order order, Source source) {
    WavChunks.Sampler sampler = null;
    WavChunks.Instrument instrument = null;
    Integer midi = order.cell().midi();
    if (midi != null) {
      sampler = new WavChunks.Sampler(midi, 0, List.of());
      instrument = new WavChunks.Instrument(midi, 0, 0, midi, midi, 1, 127);
    }
    // Date and time are left open: the same take must give the same bytes whenever it is built.
    return new WavChunks(
        sampler,
        instrument,
        new WavChunks.Broadcast(source.description(), "Takewright", "", "", "", 0));
  }

  private static Clip read(AudioFile file, long from, long to) throws IOException {
    file.seek(from);
    return Clip.read(file, (int) (to - from));
  }

  private static double centsOff(Pitch pitch, int midi) {
    return 100.0 * (pitch.midi() - midi) + pitch.cents();
  }

  /** Raised-cosine fades at both ends, in place: the clip is ours alone. */
  private static void fade(Clip clip, int in, int out) {
    int frames = clip.frames();
    int first = Math.min(in, frames / 2);
    int last = Math.min(out, frames / 2);
    for (int c = 0; c < clip.channels(); c++) {
      float[] x = clip.channel(c);
      for (int i = 0; i < first; i++) {
        x[i] *= (float) (0.5 - 0.5 * Math.cos(Math.PI * i / first));
      }
      for (int i = 0; i < last; i++) {
        x[frames - 1 - i] *= (float) (0.5 - 0.5 * Math.cos(Math.PI * i / last));
      }
    }
  }

  private static void amplify(Clip clip, double gain) {
    for (int c = 0; c < clip.channels(); c++) {
      float[] x = clip.channel(c);
      for (int i = 0; i < x.length; i++) {
        x[i] *= (float) gain;
      }
    }
  }
}
