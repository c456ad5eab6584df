package takewright.service.call;

import com.google.protobuf.ByteString;
import com.google.protobuf.Descriptors;
import java.io.IOException;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import takewright.audio.AudioFile;
import takewright.audio.Clip;
import takewright.diagnosis.FileProblems;
import takewright.diagnosis.ProblemException;
import takewright.diagnosis.SettingException;
import takewright.layer.ComputedRoom;
import takewright.layer.Effect;
import takewright.layer.LayerResult;
import takewright.layer.LayerSettings;
import takewright.layer.MakeLayer;
import takewright.layer.RoomSettings;
import takewright.layer.RoomShape;
import takewright.service.access.Limits;
import takewright.service.wire.Failures;
import takewright.service.wire.Wire;
import takewright.sheet.read.ChainReader;
import takewright.v1.AudioInput;
import takewright.v1.EffectBandPass;
import takewright.v1.EffectDelay;
import takewright.v1.EffectReverb;
import takewright.v1.LayerConfig;
import takewright.v1.LayerEffect;
import takewright.v1.LayerReport;
import takewright.v1.LayerRequest;
import takewright.v1.LayerResponse;
import takewright.v1.LayerRoom;

/** Adapter of Layer. */
public final class LayerAdapter
    implements StreamedOperation<LayerRequest, LayerConfig, LayerResponse> {
  /** More than any chain needs; keeps a mistake from taking hours. */
  private static final int MAX_EFFECTS = 32;

  private static final List<String> EFFECTS =
      LayerEffect.getDescriptor().getOneofs().get(0).getFields().stream()
          .map(Descriptors.FieldDescriptor::getName)
          .toList();

  @Override
  public LayerConfig config(LayerRequest request) {
    return request.hasConfig() ? request.getConfig() : null;
  }

  @Override
  public ByteString audio(LayerRequest request) {
    return request.hasAudio() ? request.getAudio() : null;
  }

  @Override
  public AudioInput input(LayerConfig config) {
    return config.getInput();
  }

  @Override
  public void run(LayerConfig config, CallAudio audio, Site site, Answers<LayerResponse> answers)
      throws IOException {
    List<Effect> chain = chain(config);
    boolean room = config.hasRoom() || !config.getImpulseFile().isEmpty() || chain.isEmpty();
    refuseContradictions(config, room);
    RoomShape shape = Wire.settings("config.room", () -> shape(config.getRoom()));
    Target target = Target.of("config.output", config.getOutput(), audio.file(), site.folders());
    Clip impulse = config.getImpulseFile().isEmpty() ? null : impulse(config, site);
    answers.send(LayerResponse.newBuilder().setInput(audio.format()).build());
    Clip sample = audio.held();
    if (sample.frames() == 0) {
      throw ProblemException.invalid("config.input", "holds no audio", "record or choose it again");
    }
    LayerResult result =
        Wire.settings(
            () -> {
              Clip response = impulse;
              if (room && response == null) {
                response = ComputedRoom.impulse(shape, sample.sampleRate(), sample.channels());
              }
              RoomSettings heard = room ? room(config, response) : null;
              return MakeLayer.apply(
                  sample, new LayerSettings(heard, chain, config.getOnsetFrame()));
            });
    try (Target.Sink sink =
        target.open(
            result.audio().sampleRate(),
            result.audio().channels(),
            format -> answers.send(LayerResponse.newBuilder().setFormat(format).build()),
            bytes -> answers.send(LayerResponse.newBuilder().setAudio(bytes).build()))) {
      Target.copy(result.audio().source(), sink);
      if (answers.cancelled()) {
        throw ProblemException.cancelled();
      }
      sink.commit();
    }
    answers.send(
        LayerResponse.newBuilder()
            .setReport(
                LayerReport.newBuilder()
                    .setFrames(result.audio().frames())
                    .setGainDb(result.gainDb()))
            .build());
  }

  private static void refuseContradictions(LayerConfig config, boolean room) {
    if (config.hasRoom() && !config.getImpulseFile().isEmpty()) {
      throw ProblemException.invalid(
          "config.room", "is set together with `config.impulse_file`", "leave one of them out");
    }
    if (!room && (config.hasWetDb() || config.hasPreDelayMs() || config.getWetOnly())) {
      throw ProblemException.invalid(
          "config."
              + (config.hasWetDb()
                  ? "wet_db"
                  : config.hasPreDelayMs() ? "pre_delay_ms" : "wet_only"),
          "needs a room",
          "set `config.room` or `config.impulse_file` too");
    }
  }

  private static RoomSettings room(LayerConfig config, Clip response) {
    return new RoomSettings(
        response,
        config.hasWetDb() ? config.getWetDb() : RoomSettings.DEFAULT_WET_DB,
        config.getPreDelayMs(),
        !config.getWetOnly());
  }

  private static RoomShape shape(LayerRoom room) {
    RoomShape usual = RoomShape.DEFAULTS;
    return new RoomShape(
        room.hasLengthM() ? room.getLengthM() : usual.lengthM(),
        room.hasWidthM() ? room.getWidthM() : usual.widthM(),
        room.hasHeightM() ? room.getHeightM() : usual.heightM(),
        room.hasAbsorption() ? room.getAbsorption() : usual.absorption());
  }

  private static Clip impulse(LayerConfig config, Site site) throws IOException {
    Path path = site.folders().fileToRead("config.impulse_file", config.getImpulseFile());
    return FileProblems.read("config.impulse_file", () -> impulse(path));
  }

  private static Clip impulse(Path path) throws IOException {
    try (AudioFile file = AudioFile.openChecked(path)) {
      if (file.frames() > (long) file.sampleRate() * Limits.HELD_SECONDS) {
        throw ProblemException.invalid(
            "config.impulse_file", "is longer than ten minutes", "cut it where the room is silent");
      }
      return Clip.read(file, (int) file.frames());
    }
  }

  private static List<Effect> chain(LayerConfig config) {
    // Checked whether it has an effect or not.
    if (config.hasTempoBpm()) {
      Wire.settings(() -> tempo("tempo_bpm", config.getTempoBpm()));
    }
    if (config.getChainText().isEmpty()) {
      return chain(config.getChainList());
    }
    if (config.getChainCount() > 0) {
      throw ProblemException.invalid(
          "config.chain", "is set together with `config.chain_text`", "leave one of them out");
    }
    return ChainReader.read(
        "config.chain_text",
        config.getChainText(),
        config.hasTempoBpm() ? config.getTempoBpm() : null);
  }

  private static List<Effect> chain(List<LayerEffect> wire) {
    if (wire.size() > MAX_EFFECTS) {
      throw ProblemException.invalid(
          "config.chain",
          "holds " + wire.size() + " effects, and at most " + MAX_EFFECTS + " are applied",
          "leave some out");
    }
    List<Effect> chain = new ArrayList<>();
    for (int i = 0; i < wire.size(); i++) {
      String field = "config.chain[" + i + "]";
      LayerEffect effect = wire.get(i);
      try {
        Effect made = effect(field, effect);
        if (made != null) {
          chain.add(made);
        }
      } catch (IllegalArgumentException e) {
        throw Failures.setting(e, field);
      }
    }
    return chain;
  }

  /** An effect; null for one that is switched off. */
  private static Effect effect(String field, LayerEffect effect) {
    return switch (effect.getEffectCase()) {
      case HIGH_PASS_HZ -> new Effect.HighPass(effect.getHighPassHz());
      case LOW_PASS_HZ -> new Effect.LowPass(effect.getLowPassHz());
      case BAND_PASS -> {
        EffectBandPass band = effect.getBandPass();
        yield new Effect.BandPass(band.getHz(), band.hasQ() ? band.getQ() : 1);
      }
      case LOW_SHELF ->
          new Effect.Shelf(false, effect.getLowShelf().getHz(), effect.getLowShelf().getGainDb());
      case HIGH_SHELF ->
          new Effect.Shelf(true, effect.getHighShelf().getHz(), effect.getHighShelf().getGainDb());
      case DELAY -> delay(field, effect.getDelay());
      case REVERB -> {
        EffectReverb reverb = effect.getReverb();
        yield new Effect.Reverb(
            reverb.getDecayS(),
            reverb.hasDamping() ? reverb.getDamping() : Effect.Reverb.DEFAULT_DAMPING,
            reverb.hasWetDb() ? reverb.getWetDb() : Effect.DEFAULT_WET_DB);
      }
      case SATURATION_DB -> new Effect.Saturation(effect.getSaturationDb());
      case WIDTH -> new Effect.Width(effect.getWidth());
      case REVERSE -> effect.getReverse() ? new Effect.Reverse() : null;
      case GAIN_DB -> new Effect.Gain(effect.getGainDb());
      case EFFECT_NOT_SET ->
          throw ProblemException.invalid(
              field, "holds no effect that this version knows", Wire.set(EFFECTS));
    };
  }

  private static double tempo(String field, double bpm) {
    SettingException.requireRange(field, bpm, 10, 400, "beats per minute");
    return bpm;
  }

  private static Effect delay(String field, EffectDelay delay) {
    if (delay.hasTempoBpm()) {
      tempo("delay.tempo_bpm", delay.getTempoBpm());
    }
    double timeMs =
        switch (delay.getTimeCase()) {
          case TIME_MS -> delay.getTimeMs();
          case NOTE_VALUE -> {
            if (!delay.hasTempoBpm()) {
              throw ProblemException.invalid(
                  field + ".delay.tempo_bpm", "is needed with `note_value`", "set it");
            }
            yield Effect.Delay.timeMs(delay.getNoteValue(), delay.getTempoBpm());
          }
          case TIME_NOT_SET ->
              throw ProblemException.invalid(
                  field + ".delay",
                  "needs exactly one of `time_ms` and `note_value`, and has none",
                  "set one");
        };
    return new Effect.Delay(
        timeMs,
        delay.getFeedback(),
        delay.hasLowPassHz() ? delay.getLowPassHz() : null,
        delay.hasWetDb() ? delay.getWetDb() : Effect.DEFAULT_WET_DB);
  }
}
