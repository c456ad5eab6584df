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
import takewright.audio.Recording;
import takewright.audio.WavChunks;
import takewright.audio.write.WavWriter;
import takewright.diagnosis.Flag;
import takewright.diagnosis.Flags;
import takewright.dsp.Cents;
import takewright.dsp.Decibels;
import takewright.level.LevelSettings;
import takewright.library.folder.BeforeAfter;
import takewright.library.folder.LoopAndRelease;
import takewright.library.folder.MadeSample;
import takewright.library.folder.Measures;
import takewright.library.match.OffItsNote;
import takewright.library.take.KeptRegion;
import takewright.library.take.Remembered;
import takewright.loop.CrossFade;
import takewright.loop.Loop;
import takewright.loop.LoopFault;
import takewright.loop.LoopResult;
import takewright.loop.LoopSearch;
import takewright.loop.LoopSettings;
import takewright.loop.PlacedLoop;
import takewright.loop.Release;
import takewright.pitch.Kind;
import takewright.pitch.Pitch;
import takewright.pitch.SecondEar;
import takewright.segment.Region;
import takewright.sheet.Sheet;
import takewright.sheet.Treatment;
import takewright.sheet.TuningRules;
import takewright.sheet.decision.LoopChoice;

/**
 * Makes the sample of one microphone by the plan for its region: loop, measure, level, write. Who
 * wants a plan listens to the main microphone first and looks for a loop in it.
 */
public final class SampleMaker {
  /** Notes that last for longer, in seconds, are heard surely enough by themselves. */
  private static final double SHORT_S = 1;

  /** No sample's true peak lies above this, in dBTP. */
  private static final double CEILING_DBTP = LevelSettings.DEFAULTS.ceilingDbtp();

  /** A difference of level that nobody hears, in dB. Common practice. */
  private static final double NOT_HEARD_DB = 0.5;

  /** What stands in a file without a root note until the key map gives it a key: middle C. */
  static final int KEY_OF_NO_NOTE = 60;

  /** Flags of a region that apply to its sample too. */
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

  /** Pitches of short notes; null of long ones, so that their files need not be opened again. */
  private static final Remembered<Pitch> SHORT = new Remembered<>(10_000);

  /** Pitches of all notes from their onsets on, heard once for all builds of a process. */
  private static final Remembered<Pitch> HEARD = new Remembered<>(10_000);

  private SampleMaker() {}

  /**
   * How far a short note is off, before its neighbours are asked; null for long ones, which need
   * none, and for what is not brought in tune.
   */
  public static Intonation.HeardNote listenAhead(Sheet sheet, KeptRegion kept) throws IOException {
    SampleOrder order = SampleOrder.of(sheet, kept, 0, null);
    Region region = kept.region();
    if (!order.treatment().tuned() || region.kind() != Kind.PITCHED || !order.hasNote()) {
      return null;
    }
    Pitch pitch =
        SHORT.get(
            kept.take().main(),
            List.of(region.onset(), region.end(), order.listening()),
            () -> shortPitch(kept, order));
    return pitch == null || !pitch.isExact()
        ? null
        : new Intonation.HeardNote(
            order.cell(), Cents.withinOctave(order.centsOff(pitch)), pitch.centsUncertainty());
  }

  /** The pitch of a short note; null of a long one, or if none is heard. */
  private static Pitch shortPitch(KeptRegion kept, SampleOrder order) throws IOException {
    Region region = kept.region();
    try (AudioFile file = kept.take().main().open()) {
      if (region.end() - region.onset() > SHORT_S * file.sampleRate()) {
        return null;
      }
    }
    return heard(order, kept.take().main());
  }

  /** Measures how far a region is off its cell's note, and says how far to move it. */
  static Tuning listen(SampleOrder order, Recording mainMicrophone) throws IOException {
    return measure(order, mainMicrophone).adding(order.addedCents());
  }

  private static Tuning measure(SampleOrder order, Recording mainMicrophone) throws IOException {
    Treatment treatment = order.treatment();
    double shift = treatment.shiftCents() == null ? 0 : treatment.shiftCents();
    if (!isHeardAsNote(order)) {
      return Tuning.shift(null, null, shift, Set.of());
    }
    Pitch pitch = heard(order, mainMicrophone);
    if (treatment.tuned()) {
      TuningRules rules = order.tuning();
      // Of a glide or a phrase that is tuned all the same, the drift is what was played.
      boolean level = rules.steadyPitch() && order.region().kind() == Kind.PITCHED;
      return Tuning.of(
          level ? raw(order.region(), mainMicrophone) : null,
          pitch,
          order.listening(),
          order::centsOff,
          order.leanCents(),
          rules.limitCents(),
          level);
    }
    return pitch == null
        ? Tuning.shift(null, null, shift, Set.of(Flag.NO_PITCH))
        : Tuning.shift(pitch, Cents.withinOctave(order.centsOff(pitch)), shift, Set.of());
  }

  private static boolean isHeardAsNote(SampleOrder order) {
    return order.hasNote() && (order.treatment().tuned() || order.region().kind() == Kind.PITCHED);
  }

  /**
   * The pitch of a note as it was recorded, which is remembered: a core that waits until the last
   * take is cut hears it before its sample is made. Null if none is heard, or none is asked for.
   */
  public static Pitch hear(Sheet sheet, KeptRegion kept) throws IOException {
    SampleOrder order = SampleOrder.of(sheet, kept, 0, null);
    return isHeardAsNote(order) ? heard(order, kept.take().main()) : null;
  }

  /** The pitch of a note as it was recorded; null if none is heard. */
  private static Pitch heard(SampleOrder order, Recording mainMicrophone) throws IOException {
    Region region = order.region();
    return HEARD.get(
        mainMicrophone,
        List.of(region.onset(), region.end(), order.listening()),
        () -> Analyse.pitch(raw(region, mainMicrophone), order.listening()));
  }

  /** A region from its onset on. */
  private static Clip raw(Region region, Recording microphone) throws IOException {
    try (AudioFile file = microphone.open()) {
      file.seek(region.onset());
      return Clip.read(file, (int) (region.end() - region.onset()));
    }
  }

  /** Looks for a loop in the main microphone, or takes the one that a person wants. */
  static LoopResult loop(SampleOrder order, Tuning tuning, PreparedAudio main) {
    LoopChoice placed = order.placedLoop();
    if (placed != null) {
      double hz = tuning.centsBefore() == null ? Double.NaN : soundingHz(order, tuning);
      long start = main.placing().frame(placed.startS());
      long end = main.placing().frame(placed.endS());
      Loop loop = PlacedLoop.at(main.audio(), start, end, hz);
      return new LoopResult(loop, loop == null ? LoopFault.SHORT : null, Double.NaN);
    }
    if (!order.treatment().looped() || tuning.centsBefore() == null) {
      return LoopResult.NOT_WANTED;
    }
    return LoopSearch.apply(main.audio(), LoopSettings.of(soundingHz(order, tuning)));
  }

  /** Frequency of the note in the sample, in hertz: by its name, and by how far it is off that. */
  private static double soundingHz(SampleOrder order, Tuning tuning) {
    return order.noteHz() * Cents.toRatio(tuning.centsAfter());
  }

  /** Makes a sample and returns what is known of it. */
  static MadeSample write(SamplePlan plan, PreparedAudio prepared, SampleSource source, Path file)
      throws IOException {
    SampleOrder order = plan.order();
    Tuning tuning = plan.tuning();
    Loop loop = plan.looped().loop();
    Clip audio = loop == null ? prepared.audio() : CrossFade.apply(prepared.audio(), loop);
    double releaseMs = Release.ms(audio);
    SampleFacts facts =
        Analyse.apply(
            audio,
            tuning.centsBefore() == null
                ? new AnalyseSettings(true, order.tuningHz())
                : order.listening());
    // One note that holds its pitch; before its level changes.
    boolean isContradicted =
        tuning.centsBefore() != null
            && order.region().kind() == Kind.PITCHED
            && SecondEar.contradicts(audio, soundingHz(order, tuning));
    double wanted = order.gain() == null ? 0 : order.gain().gainDb();
    double asked = order.gainInFile() ? wanted : 0;
    double applied = asked + Math.min(0, CEILING_DBTP - (facts.peakDbtp() + asked));
    if (applied != 0) {
      amplify(audio, Decibels.toAmplitude(applied));
    }
    double beside = order.gainInFile() || order.gain() == null ? 0 : wanted - applied;
    WavWriter.writeOneOfMany(
        file,
        audio,
        order.output().bitDepth(),
        chunks(order, source.text(), beside, loop).onKeys(source.keys()));
    Measures measures =
        new Measures(
            new BeforeAfter(
                tuning.centsBefore(),
                facts.pitch() == null || !order.hasNote()
                    ? null
                    : (Double) order.centsOff(facts.pitch())),
            tuning.uncertaintyCents(),
            prepared.floorDbfs(applied),
            Double.isNaN(facts.levelLufs()) ? null : (Double) (facts.levelLufs() + applied),
            facts.peakDbtp() + applied,
            applied + beside,
            null);
    Set<Flag> flags = flags(plan);
    if (asked - applied > NOT_HEARD_DB) {
      flags.add(Flag.LEVEL_LIMIT);
    }
    flags.addAll(prepared.flags());
    flags.addAll(facts.flags());
    flags.addAll(againstName(order, tuning, facts));
    if (isContradicted) {
      flags.add(Flag.SECOND_EAR_DISAGREES);
    }
    return new MadeSample(measures, loopAndRelease(plan.looped(), releaseMs), flags);
  }

  /** What of the sound contradicts the sample's name, in the take or in the file. */
  private static Set<Flag> againstName(SampleOrder order, Tuning tuning, SampleFacts facts) {
    Set<Flag> flags = EnumSet.noneOf(Flag.class);
    if (tuning.centsBefore() == null
        || order.region().kind() != Kind.PITCHED
        || Treatment.soundsElsewhere(order.cell().articulation())) {
      return flags;
    }
    double after = facts.pitch() == null ? 0 : order.centsOff(facts.pitch());
    // Where a person says by how much all are moved, only what comes of it counts.
    boolean isMeasured = order.treatment().shiftCents() == null && tuning.addedCents() == 0;
    double before = isMeasured ? tuning.centsBefore() : 0;
    Double uncertainty = tuning.uncertaintyCents();
    flags.addAll(OffItsNote.of(after, before, uncertainty == null ? 0 : uncertainty));
    if (tuning.flags().contains(Flag.OUT_OF_TUNE)) {
      flags.remove(Flag.QUARTER_TONE_OFF);
    }
    return flags;
  }

  private static LoopAndRelease loopAndRelease(LoopResult looped, double releaseMs) {
    Double release = Double.isNaN(releaseMs) ? null : (Double) releaseMs;
    String reason = looped.fault() == null ? "" : looped.fault().word();
    Loop loop = looped.loop();
    return loop == null
        ? new LoopAndRelease(null, null, null, release, reason)
        : new LoopAndRelease((long) loop.start(), (long) loop.end(), loop.fade(), release, reason);
  }

  private static Set<Flag> flags(SamplePlan plan) {
    SampleOrder order = plan.order();
    Set<Flag> flags = EnumSet.noneOf(Flag.class);
    flags.addAll(order.region().flags());
    flags.retainAll(FLAGS_OF_REGION);
    flags.addAll(plan.tuning().flags());
    if (order.region().rejected()) {
      // The segmenter alone would have rejected it; the order of the sheet says what it is.
      flags.add(Flag.UNSURE);
    }
    if (order.gain() != null && order.gain().limited()) {
      flags.add(Flag.LEVEL_LIMIT);
    }
    if (plan.looped().loop() == null) {
      if (order.treatment().wantsLoops()) {
        flags.add(Flag.NO_LOOP);
      }
    } else if (plan.looped().isFair()) {
      flags.add(Flag.LOOP_FAIR);
    }
    return flags;
  }

  private static WavChunks chunks(
      SampleOrder order, SampleText text, double gainBesideDb, Loop loop) {
    int key = order.hasNote() ? order.cell().midi() : KEY_OF_NO_NOTE;
    List<WavChunks.SampleLoop> loops =
        loop == null ? List.of() : List.of(new WavChunks.SampleLoop(loop.start(), loop.end()));
    WavChunks.Sampler sampler = new WavChunks.Sampler(key, 0, loops);
    int gain = (int) Math.max(-64, Math.min(64, Math.round(gainBesideDb)));
    WavChunks.Instrument instrument = new WavChunks.Instrument(key, 0, gain, key, key, 1, 127);
    return new WavChunks(sampler, instrument, text.broadcast(), text.info());
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
