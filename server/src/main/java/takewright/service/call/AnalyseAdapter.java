package takewright.service.call;

import com.google.protobuf.ByteString;
import java.io.IOException;
import takewright.analyse.Analyse;
import takewright.analyse.AnalyseSettings;
import takewright.analyse.BlockSettings;
import takewright.analyse.Blocks;
import takewright.analyse.SampleFacts;
import takewright.audio.Clip;
import takewright.name.NoteNames;
import takewright.pitch.Kind;
import takewright.report.SamplePicture;
import takewright.service.wire.FactsWire;
import takewright.service.wire.Wire;
import takewright.v1.AnalyseConfig;
import takewright.v1.AnalyseRequest;
import takewright.v1.AnalyseResponse;
import takewright.v1.AudioInput;

/** Adapter of Analyse. */
public final class AnalyseAdapter
    implements StreamedOperation<AnalyseRequest, AnalyseConfig, AnalyseResponse> {
  @Override
  public AnalyseConfig config(AnalyseRequest request) {
    return request.hasConfig() ? request.getConfig() : null;
  }

  @Override
  public ByteString audio(AnalyseRequest request) {
    return request.hasAudio() ? request.getAudio() : null;
  }

  @Override
  public AudioInput input(AnalyseConfig config) {
    return config.getInput();
  }

  @Override
  public void run(
      AnalyseConfig config, CallAudio audio, Site site, Answers<AnalyseResponse> answers)
      throws IOException {
    Kind kind = Wire.kind(config.getKind());
    AnalyseSettings settings = Wire.settings(() -> settings(kind, config));
    BlockSettings blocks =
        config.hasBlockMs() ? Wire.settings(() -> blocks(kind, config, settings)) : null;
    answers.send(AnalyseResponse.newBuilder().setInput(audio.format()).build());
    Clip sample;
    if (blocks != null) {
      sample =
          audio.held(
              source ->
                  Blocks.of(
                      source,
                      blocks,
                      block ->
                          answers.sendAhead(
                              AnalyseResponse.newBuilder()
                                  .setBlock(FactsWire.block(block))
                                  .build())));
    } else {
      sample = audio.held();
    }
    SampleFacts facts = Analyse.apply(sample, settings, site.workers()::beside);
    if (config.getPicture()) {
      String note = facts.pitch() == null ? "" : NoteNames.DEFAULTS.spell(facts.pitch().midi());
      byte[] png = SamplePicture.png(sample, facts, note);
      answers.send(AnalyseResponse.newBuilder().setPicture(ByteString.copyFrom(png)).build());
    }
    answers.send(
        AnalyseResponse.newBuilder().setFacts(FactsWire.facts(facts, kind, sample)).build());
  }

  private static BlockSettings blocks(Kind kind, AnalyseConfig config, AnalyseSettings settings) {
    // Unlike the whole phrase, a block of it has one pitch.
    boolean unpitched = settings.unpitched() && kind != Kind.PHRASE;
    return new BlockSettings(config.getBlockMs(), unpitched, settings.tuningHz());
  }

  private static AnalyseSettings settings(Kind kind, AnalyseConfig config) {
    // Only a note or a glide has one pitch to look for.
    boolean unpitched = kind != null && kind != Kind.PITCHED && kind != Kind.GLIDE;
    return new AnalyseSettings(
        unpitched,
        config.hasTuningHz() ? config.getTuningHz() : AnalyseSettings.DEFAULTS.tuningHz(),
        FactsWire.detail(config.getDetail()));
  }
}
