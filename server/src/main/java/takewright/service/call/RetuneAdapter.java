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
    AnalyseSettings analysis = Wire.settings(() -> analysis(config));
    Temperament temperament = temperament(config);
    double limit = limit(config);
    RetuneReport.Builder report = RetuneReport.newBuilder();
    AudioSource source;
    double cents;
    Drift drift = Drift.NONE;
    if (config.hasCents()) {
      if (config.getSteadyPitch()) {
        throw ProblemException.invalid(
            "config.cents",
            "is set together with `config.steady_pitch`",
            "leave out `config.cents` to tune to the nearest note");
      }
      cents = config.getCents();
      answers.send(RetuneResponse.newBuilder().setInput(audio.format()).build());
      // A client may send all before it reads: what is streamed back is read from the disk.
      source = target.isStreamed() ? audio.again() : audio.once();
    } else {
      answers.send(RetuneResponse.newBuilder().setInput(audio.format()).build());
      Clip sample = audio.held();
      Tuning tuning =
          Tuning.of(
              sample,
              analysis,
              pitch -> temperament.centsOffNearest(pitch.midi() + pitch.cents() / 100),
              0,
              limit,
              config.getSteadyPitch());
      if (tuning.heard() == null) {
        throw new ProblemException(
            Reason.NOT_NOW,
            "config.input",
            "has no pitch that can be heard",
            "set `config.cents` to move it all the same");
      }
      report.setBefore(Wire.pitch(tuning.heard())).addAllFlags(Wire.flags(tuning.flags()));
      cents = tuning.moveCents();
      drift = tuning.drift();
      report.setDriftCents(drift.range());
      source = sample.source();
    }
    double move = cents;
    Drift level = drift;
    RetuneSettings settings = Wire.settings(() -> new RetuneSettings(move, rate, level));
    try (AudioSource moved = Retune.stream(source, settings);
        Target.Sink sink =
            target.open(
                moved.sampleRate(),
                moved.channels(),
                format -> answers.send(RetuneResponse.newBuilder().setFormat(format).build()),
                bytes -> answers.send(RetuneResponse.newBuilder().setAudio(bytes).build()))) {
      report.setFrames(Target.copy(moved, sink));
      sink.commit();
    }
    report.setMovedCents(cents);
    answers.send(RetuneResponse.newBuilder().setReport(report).build());
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
