package takewright.service.call;

import com.google.protobuf.ByteString;
import java.io.IOException;
import java.util.ArrayList;
import java.util.List;
import java.util.Set;
import takewright.audio.Clip;
import takewright.denoise.Denoise;
import takewright.denoise.DenoiseSettings;
import takewright.denoise.DenoisedAudio;
import takewright.denoise.room.NoiseProfile;
import takewright.diagnosis.Flag;
import takewright.service.wire.Failures;
import takewright.service.wire.Wire;
import takewright.service.work.Priority;
import takewright.v1.AudioInput;
import takewright.v1.DenoiseConfig;
import takewright.v1.DenoiseReport;
import takewright.v1.DenoiseRequest;
import takewright.v1.DenoiseResponse;
import takewright.v1.FrameRange;

/** Adapter of Denoise. */
public final class DenoiseAdapter
    implements StreamedOperation<DenoiseRequest, DenoiseConfig, DenoiseResponse> {
  @Override
  public DenoiseConfig config(DenoiseRequest request) {
    return request.hasConfig() ? request.getConfig() : null;
  }

  @Override
  public ByteString audio(DenoiseRequest request) {
    return request.hasAudio() ? request.getAudio() : null;
  }

  @Override
  public AudioInput input(DenoiseConfig config) {
    return config.getInput();
  }

  @Override
  public Priority priority() {
    return Priority.LONG;
  }

  @Override
  public void run(
      DenoiseConfig config, CallAudio audio, Site site, Answers<DenoiseResponse> answers)
      throws IOException {
    double amountDb =
        config.hasAmountDb() ? config.getAmountDb() : DenoiseSettings.DEFAULTS.amountDb();
    Wire.settings(() -> new DenoiseSettings(amountDb, null));
    Target target = Target.of("config.output", config.getOutput(), audio.file(), site.folders());
    Target removed = RemovedAudio.target(config, target, audio, site);
    answers.send(DenoiseResponse.newBuilder().setInput(audio.format()).build());
    NoiseProfile profile = profile(config.getRoomToneList(), audio);
    NoiseProfile after;
    long frames;
    int clicks;
    double uncertainty;
    Set<Flag> flags;
    try (DenoisedAudio clean =
            Denoise.stream(audio.again(), new DenoiseSettings(amountDb, profile));
        Target.Sink sink =
            target.open(
                clean.sampleRate(),
                clean.channels(),
                format -> answers.send(DenoiseResponse.newBuilder().setFormat(format).build()),
                bytes -> answers.send(DenoiseResponse.newBuilder().setAudio(bytes).build()));
        RemovedAudio taken = removed == null ? null : new RemovedAudio(removed, audio.again())) {
      WrittenAudio written = new WrittenAudio(clean, sink, taken);
      // The remaining floor is measured while the result is written.
      after = NoiseProfile.learn(written);
      frames = written.framesWritten();
      clicks = clean.clicksMended();
      uncertainty = clean.roomUncertaintyDb();
      flags = clean.flags();
      sink.commit();
      if (taken != null) {
        taken.commit();
      }
    }
    DenoiseReport.Builder report =
        DenoiseReport.newBuilder()
            .setFrames(frames)
            .setClicksMended(clicks)
            .addAllFlags(Wire.flags(flags));
    if (profile.roomTone()) {
      report.setFloorBeforeDbfs(Wire.level(profile.levelDbfs()));
      report.setFloorAfterDbfs(Wire.level(after.levelDbfs()));
      report.setRoomUncertaintyDb(uncertainty);
      report.setReductionDb(report.getFloorBeforeDbfs() - report.getFloorAfterDbfs());
    }
    if (profile.humHz() > 0 && amountDb > 0) {
      report.setHumHz(profile.humHz()).setHumDbfs(Wire.level(profile.humDbfs()));
    }
    answers.send(DenoiseResponse.newBuilder().setReport(report).build());
  }

  private static NoiseProfile profile(List<FrameRange> roomTone, CallAudio audio)
      throws IOException {
    if (roomTone.isEmpty()) {
      return NoiseProfile.learn(audio.again());
    }
    List<Clip> stretches = new ArrayList<>();
    for (int i = 0; i < roomTone.size(); i++) {
      FrameRange range = roomTone.get(i);
      stretches.add(
          audio.stretch("config.room_tone[" + i + "]", range.getStartFrame(), range.getEndFrame()));
    }
    try {
      return NoiseProfile.of(stretches);
    } catch (IllegalArgumentException e) {
      throw Failures.setting(e, "config");
    }
  }
}
