package takewright.service.call;

import com.google.protobuf.ByteString;
import java.io.IOException;
import java.util.Locale;
import takewright.analyse.AnalyseSettings;
import takewright.audio.AudioSource;
import takewright.audio.Clip;
import takewright.diagnosis.Problem;
import takewright.diagnosis.ProblemException;
import takewright.diagnosis.Reason;
import takewright.library.sample.Tuning;
import takewright.name.NoteNames;
import takewright.retune.Drift;
import takewright.retune.Retune;
import takewright.retune.RetuneSettings;
import takewright.retune.Temperament;
import takewright.service.access.Limits;
import takewright.service.wire.Failures;
import takewright.service.wire.Wire;
import takewright.v1.AudioInput;
import takewright.v1.RetuneConfig;
import takewright.v1.RetuneReport;
import takewright.v1.RetuneRequest;
import takewright.v1.RetuneResponse;

/** Adapter of Retune. */
public final class RetuneAdapter
    implements StreamedOperation<RetuneRequest, RetuneConfig, RetuneResponse> {
  /** A sample is at most half a semitone from its nearest note; a little more is allowed. */
  private static final double USUAL_LIMIT_CENTS = 60;

  @Override
  public RetuneConfig config(RetuneRequest request) {
    return request.hasConfig() ? request.getConfig() : null;
  }

  @Override
  public ByteString audio(RetuneRequest request) {
    return request.hasAudio() ? request.getAudio() : null;
  }

  @Override
  public AudioInput input(RetuneConfig config) {
    return config.getInput();
  }

  @Override
  public void run(RetuneConfig config, CallAudio audio, Site site, Answers<RetuneResponse> answers)
      throws IOException {
    int rate = config.hasOutputSampleRateHz() ? config.getOutputSampleRateHz() : 0;
    if (config.hasOutputSampleRateHz()) {
      Limits.checkFormat("config.output_", rate, 1);
    }
    Target target = Target.of("config.output", config.getOutput(), audio.file(), site.folders());
    // Checked whether they have an effect or not.
    Wish wish = new Wish(Wire.settings(() -> analysis(config)), temperament(config), limit(config));
    if (config.hasCents() && config.getSteadyPitch()) {
      throw ProblemException.invalid(
          "config.cents",
          "is set together with `config.steady_pitch`",
          "leave out `config.cents` to tune to the nearest note");
    }
    answers.send(RetuneResponse.newBuilder().setInput(audio.format()).build());
    RetuneReport.Builder report = RetuneReport.newBuilder();
    PitchMove move =
        config.hasCents()
            // A client may send all before it reads: what is streamed back is read from the disk.
            ? new PitchMove(
                target.isStreamed() ? audio.again() : audio.once(), config.getCents(), Drift.NONE)
            : toNearestNote(audio.held(), wish, config.getSteadyPitch(), report);
    RetuneSettings settings = Wire.settings(() -> new RetuneSettings(move.cents, rate, move.drift));
    try (AudioSource moved = Retune.stream(move.source, settings);
        Target.Sink sink =
            target.open(
                moved.sampleRate(),
                moved.channels(),
                format -> answers.send(RetuneResponse.newBuilder().setFormat(format).build()),
                bytes -> answers.send(RetuneResponse.newBuilder().setAudio(bytes).build()))) {
      report.setFrames(Target.copy(moved, sink));
      sink.commit();
    }
    report.setMovedCents(move.cents);
    answers.send(RetuneResponse.newBuilder().setReport(report).build());
  }

  /** How the pitch is heard, where the notes lie, and how far one is moved at most, in cents. */
  private record Wish(AnalyseSettings analysis, Temperament temperament, double limitCents) {}

  /** What is moved, by how much, and the drift that is taken out of it. */
  private record PitchMove(AudioSource source, double cents, Drift drift) {}

  /** The move of a sample to its nearest note; what is heard in it goes into the report. */
  private static PitchMove toNearestNote(
      Clip sample, Wish wish, boolean isSteadied, RetuneReport.Builder report) {
    Tuning tuning =
        Tuning.of(
            sample,
            wish.analysis,
            pitch -> wish.temperament.centsOffNearest(pitch.midi() + pitch.cents() / 100),
            0,
            wish.limitCents,
            isSteadied);
    if (tuning.heard() == null) {
      throw new ProblemException(
          Reason.NO_PITCH,
          "config.input",
          "has no pitch that can be heard",
          "set `config.cents` to move it all the same");
    }
    report
        .setBefore(Wire.pitch(tuning.heard()))
        .addAllFlags(Wire.flags(tuning.flags()))
        .setDriftCents(tuning.drift().range());
    return new PitchMove(sample.source(), tuning.moveCents(), tuning.drift());
  }

  private static AnalyseSettings analysis(RetuneConfig config) {
    return new AnalyseSettings(
        false, config.hasTuningHz() ? config.getTuningHz() : AnalyseSettings.DEFAULTS.tuningHz());
  }

  private static Temperament temperament(RetuneConfig config) {
    boolean named = config.getTemperament() != takewright.v1.Temperament.TEMPERAMENT_UNSPECIFIED;
    boolean rooted = !config.getTemperamentRoot().isEmpty();
    if (config.getOffsetsCentsCount() > 0) {
      if (named || rooted) {
        throw ProblemException.invalid(
            "config.temperament",
            "is set together with `config.offsets_cents`",
            "leave one of them out");
      }
      try {
        return new Temperament(config.getOffsetsCentsList());
      } catch (IllegalArgumentException e) {
        throw Failures.setting(e, "config");
      }
    }
    if (!named) {
      if (rooted) {
        throw ProblemException.invalid(
            "config.temperament_root",
            "needs `config.temperament`",
            "set that too, or leave this out");
      }
      return Temperament.EQUAL;
    }
    Temperament temperament = named(config.getTemperament());
    if (!rooted) {
      return temperament;
    }
    try {
      // The octave has no meaning here, but the parser needs one.
      int root = NoteNames.DEFAULTS.parse(config.getTemperamentRoot() + "4");
      return temperament.rootedAt(root - NoteNames.DEFAULTS.parse("C4"));
    } catch (IllegalArgumentException e) {
      throw ProblemException.invalid(
          "config.temperament_root",
          "is not a note without octave: \"" + config.getTemperamentRoot() + "\"",
          "give one such as D or Eb");
    }
  }

  private static Temperament named(takewright.v1.Temperament wire) {
    return switch (wire) {
      case TEMPERAMENT_UNSPECIFIED, TEMPERAMENT_EQUAL -> Temperament.EQUAL;
      case TEMPERAMENT_PYTHAGOREAN,
          TEMPERAMENT_QUARTER_COMMA_MEANTONE,
          TEMPERAMENT_WERCKMEISTER_3,
          TEMPERAMENT_KIRNBERGER_3,
          TEMPERAMENT_VALLOTTI,
          TEMPERAMENT_JUST ->
          Temperament.byName()
              .get(wire.name().substring("TEMPERAMENT_".length()).toLowerCase(Locale.ROOT));
      case UNRECOGNIZED ->
          throw Wire.unknown("config.temperament", takewright.v1.Temperament.values());
    };
  }

  private static double limit(RetuneConfig config) {
    double limit = config.hasLimitCents() ? config.getLimitCents() : USUAL_LIMIT_CENTS;
    if (!(limit >= 0 && limit <= 1200)) {
      throw new ProblemException(Problem.outOfRange("config.limit_cents", limit, 0, 1200, "cents"));
    }
    return limit;
  }
}
