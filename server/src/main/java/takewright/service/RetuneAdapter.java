package takewright.service;

import com.google.protobuf.ByteString;
import java.io.IOException;
import takewright.analyse.Analyse;
import takewright.analyse.AnalyseSettings;
import takewright.analyse.Pitch;
import takewright.audio.AudioSource;
import takewright.audio.Clip;
import takewright.retune.Retune;
import takewright.retune.RetuneSettings;
import takewright.v1.AudioInput;
import takewright.v1.RetuneConfig;
import takewright.v1.RetuneReport;
import takewright.v1.RetuneRequest;
import takewright.v1.RetuneResponse;

/** Retune over the wire. */
final class RetuneAdapter
    implements StreamedOperation<RetuneRequest, RetuneConfig, RetuneResponse> {
  /** A sample is at most half a semitone from its nearest note; a little more is let through. */
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
    RetuneReport.Builder report = RetuneReport.newBuilder();
    AudioSource source;
    double cents;
    if (config.hasCents()) {
      cents = config.getCents();
      source = audio.once();
    } else {
      AnalyseSettings analysis = Wire.settings(() -> analysis(config));
      double limit = limit(config);
      Clip sample = audio.held();
      Pitch heard = Analyse.apply(sample, analysis).pitch();
      if (heard == null) {
        throw Refusal.precondition(
            "no pitch is heard in the input: set `config.cents` to move it all the same");
      }
      report.setBefore(Wire.pitch(heard));
      cents = -heard.cents();
      if (Math.abs(cents) > limit) {
        cents = 0;
        report.addFlags("beyond_limit");
      }
      source = sample.source();
    }
    double move = cents;
    RetuneSettings settings = Wire.settings(() -> new RetuneSettings(move, rate));
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

  private static double limit(RetuneConfig config) {
    double limit = config.hasLimitCents() ? config.getLimitCents() : USUAL_LIMIT_CENTS;
    if (!(limit >= 0 && limit <= 1200)) {
      throw Refusal.invalid("`config.limit_cents` must be 0 to 1200, not " + limit);
    }
    return limit;
  }
}
