package takewright.library.sample;

import java.io.IOException;
import java.nio.file.Path;
import java.util.EnumSet;
import java.util.List;
import java.util.Set;
import takewright.analyse.Analyse;
import takewright.analyse.AnalyseSettings;
import takewright.analyse.SampleFacts;
import takewright.audio.AudioFile;
import takewright.audio.Clip;
import takewright.audio.WavChunks;
import takewright.audio.WavWriter;
import takewright.denoise.Denoise;
import takewright.denoise.DenoiseResult;
import takewright.denoise.DenoiseSettings;
import takewright.denoise.NoiseProfile;
import takewright.diagnosis.Flag;
import takewright.diagnosis.Flags;
import takewright.level.Gain;
import takewright.level.LevelSettings;
import takewright.library.folder.BeforeAfter;
import takewright.library.folder.LoopAndRelease;
import takewright.library.folder.MadeSample;
import takewright.library.folder.Measures;
import takewright.library.take.Fades;
import takewright.loop.CrossFade;
import takewright.loop.Loop;
import takewright.loop.LoopResult;
import takewright.loop.LoopSearch;
import takewright.loop.LoopSettings;
import takewright.loop.Release;
import takewright.pitch.Kind;
import takewright.pitch.Pitch;
import takewright.pitch.SecondEar;
import takewright.retune.Retune;
import takewright.retune.RetuneSettings;
import takewright.segment.Region;
import takewright.sheet.Cell;
import takewright.sheet.LevelRules;
import takewright.sheet.Output;
import takewright.sheet.Sheet;
import takewright.sheet.Take;
import takewright.sheet.Treatment;
import takewright.sheet.TuningRules;

/**
 * Makes the samples of one region, microphone after microphone, in the order the sound takes: read,
 * clean, tune, cut, fade, loop, measure, level, write.
 */
public final class SampleMaker {
  /**
   * Audio read on either side of a region, in seconds, so that the noise reduction hears what was
   * before and after; it is cut off again.
   */
  private static final double CONTEXT_S = 0.5;

  /** Notes that last for longer, in seconds, are heard surely enough by themselves. */
  private static final double SHORT_S = 1;

  /** No sample's true peak lies above this, in dBTP. */
  private static final double CEILING_DBTP = LevelSettings.DEFAULTS.ceilingDbtp();

  /** What stands in a file without a root note until the key map gives it a key: middle C. */
  static final int KEY_OF_NO_NOTE = 60;

  /** What is said of a region that holds for its sample too. */
  private static final Set<Flag> FLAGS_OF_REGION =
      Flags.of(
          Flag.CLIPPED,
          Flag.DROPOUT,
          Flag.RINGS_ON,
          Flag.IN_TAIL,
          Flag.WRONG_START,
          Flag.DISTURBED,
          Flag.FORCED,
          Flag.SHORT_OF_BARS);

  private final Order order;
  private final Path mainMicrophone;
  private Tuning tuning;

  /** What the main microphone gave; null before. */
  private LoopResult looped;

  /**
   * @param mainMicrophone the recording that is listened to; all others are treated as it is
   */
  public SampleMaker(Order order, Path mainMicrophone) {
    this.order = order;
    this.mainMicrophone = mainMicrophone;
  }

  /**
   * What is to be made.
   *
   * @param region the region that fills the cell
   * @param cell the cell
   * @param treatment what is done to it
   * @param tuningHz frequency of A4 in hertz
   * @param tuning how it is brought in tune
   * @param leanCents what its neighbours add to how far it is heard to be off, in cents
   * @param gain its level's gain; null if levels are left alone
   * @param gainInFile whether the gain goes into the audio
   * @param amountDb noise reduction in dB
   * @param output what the file is to be
   */
  public record Order(
      Region region,
      Cell cell,
      Treatment treatment,
      double tuningHz,
      TuningRules tuning,
      double leanCents,
      Gain gain,
      boolean gainInFile,
      double amountDb,
      Output output) {
    public static Order of(
        Sheet sheet, Take take, Region region, Cell cell, double leanCents, Gain gain) {
      return new Order(
          region,
          cell,
          take.treatment(),
          sheet.tuningHz(),
          sheet.tuning(),
          leanCents,
          gain,
          sheet.levels().gain() == LevelRules.GainPlace.FILE,
          DenoiseSettings.DEFAULTS.amountDb(),
          sheet.output());
    }
  }

  /**
   * One microphone of the order.
   *
   * @param take its recording
   * @param profile its room tone; null if there is none in the take
   * @param file the sample to write
   * @param description what it is, for the file's bext chunk
   */
  public record Source(Path take, NoiseProfile profile, Path file, String description) {}

  /** Measures how far the region is off its cell's note, and says how far to move it. */
  private Tuning listen() throws IOException {
    Treatment treatment = order.treatment();
    double shift = treatment.shiftCents() == null ? 0 : treatment.shiftCents();
    boolean isNote = treatment.tuned() || order.region().kind() == Kind.PITCHED;
    if (order.cell().midi() == null || !isNote) {
      return Tuning.shift(null, null, shift, Set.of());
    }
    Clip raw = raw();
    if (treatment.tuned()) {
      TuningRules rules = order.tuning();
      // Of a glide or a phrase that is tuned all the same, the drift is what was played.
      boolean level = rules.steadyPitch() && order.region().kind() == Kind.PITCHED;
      return Tuning.of(raw, listening(), this::centsOff, order.leanCents(), rules.limitCents(), level);
    }
    Pitch pitch = Analyse.pitch(raw, listening());
    return pitch == null
        ? Tuning.shift(null, null, shift, Set.of(Flag.NO_PITCH))
        : Tuning.shift(pitch, Tuning.within(centsOff(pitch)), shift, Set.of());
  }

  /**
   * How far a short note is off, before it is known what its neighbours say; null for long ones,
   * which need none, and for what is not brought in tune.
   */
  public Intonation.Heard listenAhead() throws IOException {
    Region region = order.region();
    boolean isTuned = order.treatment().tuned() && region.kind() == Kind.PITCHED;
    if (!isTuned || order.cell().midi() == null) {
      return null;
    }
    try (AudioFile file = AudioFile.open(mainMicrophone)) {
      if (region.end() - region.onset() > SHORT_S * file.sampleRate()) {
        return null;
      }
    }
    Pitch pitch = Analyse.pitch(raw(), listening());
    return pitch == null || Double.isNaN(pitch.centsUncertainty())
        ? null
        : new Intonation.Heard(
            order.cell(), Tuning.within(centsOff(pitch)), pitch.centsUncertainty());
  }

  /** The region from its onset on. */
  private Clip raw() throws IOException {
    try (AudioFile file = AudioFile.open(mainMicrophone)) {
      return read(file, order.region().onset(), order.region().end());
    }
  }

  /** How a sample of the order's cell is listened to: for the note that it should be. */
  private AnalyseSettings listening() {
    int midi = order.cell().midi();
    double hz = order.tuning().temperament().hz(midi, order.tuningHz());
    return new AnalyseSettings(false, order.tuningHz()).expecting(hz);
  }

  private double centsOff(Pitch pitch) {
    int midi = order.cell().midi();
    return 100.0 * (pitch.midi() - midi) + pitch.cents() - order.tuning().temperament().cents(midi);
  }

  /** Makes the sample of one microphone and answers what was measured. */
  public MadeSample make(Source source) throws IOException {
    if (tuning == null) {
      tuning = listen();
    }
    Set<Flag> flags = flags();
    Cleaned cleaned = clean(source, flags);
    Clip tuned = tune(cleaned);
    if (looped == null) {
      looped = loop(tuned);
    }
    Loop loop = looped.loop();
    if (loop != null) {
      tuned = CrossFade.apply(tuned, loop);
      if (looped.isFair()) {
        flags.add(Flag.LOOP_FAIR);
      }
    } else if (order.treatment().wantsLoops()) {
      flags.add(Flag.NO_LOOP);
    }
    double releaseMs = Release.ms(tuned);
    SampleFacts facts =
        Analyse.apply(
            tuned,
            tuning.centsBefore() == null
                ? new AnalyseSettings(true, order.tuningHz())
                : listening());
    flags.addAll(facts.flags());
    if (isHeardAsNote() && SecondEar.contradicts(tuned, soundingHz())) {
      flags.add(Flag.SECOND_EAR_DISAGREES);
    }
    double wanted = order.gain() == null ? 0 : order.gain().gainDb();
    double asked = order.gainInFile() ? wanted : 0;
    double applied = asked + Math.min(0, CEILING_DBTP - (facts.peakDbtp() + asked));
    if (applied != 0) {
      amplify(tuned, Math.pow(10, applied / 20));
    }
    double beside = order.gainInFile() || order.gain() == null ? 0 : wanted - applied;
    WavWriter.write(
        source.file(),
        tuned,
        order.output().bitDepth(),
        chunks(source.description(), beside, loop));
    Measures measures =
        new Measures(
            new BeforeAfter(
                tuning.centsBefore(),
                facts.pitch() == null || order.cell().midi() == null
                    ? null
                    : (Double) centsOff(facts.pitch())),
            tuning.uncertaintyCents(),
            cleaned.result() == null
                ? BeforeAfter.UNKNOWN
                : new BeforeAfter(
                    cleaned.result().floorBeforeDbfs(),
                    cleaned.result().floorAfterDbfs() + applied),
            Double.isNaN(facts.levelLufs()) ? null : (Double) (facts.levelLufs() + applied),
            facts.peakDbtp() + applied,
            applied + beside,
            null);
    return new MadeSample(measures, loopAndRelease(loop, releaseMs), flags);
  }

  private LoopAndRelease loopAndRelease(Loop loop, double releaseMs) {
    Double release = Double.isNaN(releaseMs) ? null : (Double) releaseMs;
    String reason = looped.fault() == null ? "" : looped.fault().word();
    return loop == null
        ? new LoopAndRelease(null, null, null, release, reason)
        : new LoopAndRelease((long) loop.start(), (long) loop.end(), loop.fade(), release, reason);
  }

  /** Takes note of a sample that an earlier build made, by which the others must be made. */
  public void made(MadeSample sample) {
    if (looped == null) {
      LoopAndRelease held = sample.loop();
      Loop loop =
          held.hasLoop()
              ? new Loop((int) (long) held.start(), (int) (long) held.end(), held.fade())
              : null;
      looped = new LoopResult(loop, null, Double.NaN);
    }
  }

  private LoopResult loop(Clip tuned) {
    if (!order.treatment().looped() || tuning.centsBefore() == null) {
      return LoopResult.NOT_WANTED;
    }
    return LoopSearch.apply(tuned, LoopSettings.of(soundingHz()));
  }

  /** Whether one note is heard in it that holds its pitch. */
  private boolean isHeardAsNote() {
    return tuning.centsBefore() != null && order.region().kind() == Kind.PITCHED;
  }

  /** Frequency of the note in the sample, in hertz: by its name, and by how far it is off that. */
  private double soundingHz() {
    double named = order.tuning().temperament().hz(order.cell().midi(), order.tuningHz());
    return named * Math.pow(2, tuning.centsAfter() / 1200);
  }

  private Set<Flag> flags() {
    Set<Flag> flags = EnumSet.noneOf(Flag.class);
    flags.addAll(order.region().flags());
    flags.retainAll(FLAGS_OF_REGION);
    flags.addAll(tuning.flags());
    if (order.region().rejected()) {
      // The segmenter alone would have thrown it out; the order of the sheet says what it is.
      flags.add(Flag.UNSURE);
    }
    if (order.gain() != null && order.gain().limited()) {
      flags.add(Flag.LEVEL_LIMIT);
    }
    return flags;
  }

  /**
   * A region, cleaned.
   *
   * @param audio from some frames before the region to its end
   * @param onset its onset in there
   * @param result what the noise reduction says; null if there was none
   */
  private record Cleaned(Clip audio, int onset, DenoiseResult result) {}

  private Cleaned clean(Source source, Set<Flag> flags) throws IOException {
    Region region = order.region();
    try (AudioFile file = AudioFile.open(source.take())) {
      long context = (long) (CONTEXT_S * file.sampleRate());
      long from = Math.max(0, region.start() - context);
      long to = Math.min(file.frames(), region.end() + context);
      Clip wide = read(file, from, to);
      DenoiseResult result = null;
      if (source.profile() != null && order.amountDb() > 0) {
        result =
            Denoise.apply(wide, new DenoiseSettings(order.amountDb(), source.profile().from(from)));
        wide = result.audio();
        flags.addAll(result.flags());
      } else {
        flags.add(Flag.NO_ROOM_TONE);
      }
      // Tuned upwards, a lead-in gets shorter; there must be enough of it left.
      double max = tuning.moveCents() - tuning.drift().lowest();
      double faster = Math.max(1, Math.pow(2, max / 1200));
      long leadIn = (long) Math.ceil(faster * (region.onset() - region.start())) + 1;
      long first = Math.max(from, region.onset() - leadIn);
      Clip cut = wide.slice((int) (first - from), (int) (region.end() - from));
      return new Cleaned(cut, (int) (region.onset() - first), result);
    }
  }

  /** Tuned, with the onset exactly as long after the start as in the take, and faded. */
  private Clip tune(Cleaned cleaned) {
    Region region = order.region();
    Clip audio = cleaned.audio();
    int rate = order.output().sampleRate();
    double onsetS = (double) cleaned.onset() / audio.sampleRate();
    RetuneSettings settings =
        new RetuneSettings(tuning.moveCents(), rate, tuning.drift().later(onsetS));
    Clip tuned = Retune.apply(audio, settings);
    int onset = (int) Retune.mapFrame(cleaned.onset(), audio.sampleRate(), settings);
    double leadInS = (double) (region.onset() - region.start()) / audio.sampleRate();
    int leadIn = (int) Math.round(leadInS * rate);
    Clip cut = from(tuned, onset - leadIn);
    if (cut == audio) {
      cut = audio.slice(0, audio.frames());
    }
    double fadeOutS = order.treatment().trimmed() ? Fades.TRIMMED_FADE_S : Fades.FADE_OUT_S;
    fade(cut, (int) (Fades.FADE_IN_SHARE * leadIn), (int) (fadeOutS * rate));
    return cut;
  }

  /** The clip from a frame on; where that lies before its first, with silence in front. */
  private static Clip from(Clip clip, int first) {
    if (first == 0) {
      return clip;
    }
    if (first > 0) {
      return clip.slice(Math.min(first, clip.frames()), clip.frames());
    }
    float[][] padded = new float[clip.channels()][clip.frames() - first];
    for (int c = 0; c < padded.length; c++) {
      System.arraycopy(clip.channel(c), 0, padded[c], -first, clip.frames());
    }
    return Clip.of(clip.sampleRate(), padded);
  }

  private WavChunks chunks(String description, double gainBesideDb, Loop loop) {
    int key = order.cell().midi() == null ? KEY_OF_NO_NOTE : order.cell().midi();
    List<WavChunks.Loop> loops =
        loop == null ? List.of() : List.of(new WavChunks.Loop(loop.start(), loop.end()));
    WavChunks.Sampler sampler = new WavChunks.Sampler(key, 0, loops);
    int gain = (int) Math.max(-64, Math.min(64, Math.round(gainBesideDb)));
    WavChunks.Instrument instrument = new WavChunks.Instrument(key, 0, gain, key, key, 1, 127);
    // Date and time are left open: the same take must give the same bytes whenever it is built.
    return new WavChunks(
        sampler, instrument, new WavChunks.Broadcast(description, "Takewright", "", "", "", 0));
  }

  private static Clip read(AudioFile file, long from, long to) throws IOException {
    file.seek(from);
    return Clip.read(file, (int) (to - from));
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
