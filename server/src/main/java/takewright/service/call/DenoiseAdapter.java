package takewright.service.call;

import com.google.protobuf.ByteString;
import java.io.Closeable;
import java.io.IOException;
import java.util.ArrayList;
import java.util.List;
import java.util.Set;
import takewright.audio.AudioSource;
import takewright.audio.Clip;
import takewright.audio.PassingSource;
import takewright.denoise.Denoise;
import takewright.denoise.DenoiseSettings;
import takewright.denoise.DenoisedAudio;
import takewright.denoise.room.NoiseProfile;
import takewright.diagnosis.Flag;
import takewright.diagnosis.ProblemException;
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
    Target removed = removed(config, target, audio, site);
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
      Tap tap = new Tap(clean, sink, taken);
      // The remaining floor is measured while the result is written.
      after = NoiseProfile.learn(tap);
      frames = tap.passed;
      clicks = clean.clicksMended();
      uncertainty = clean.roomUncertaintyDb();
      flags = clean.flags();
      sink.commit();
      if (taken != null) {
        taken.sink.commit();
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

  private static Target removed(DenoiseConfig config, Target output, CallAudio audio, Site site)
      throws IOException {
    if (!config.hasRemoved()) {
      return null;
    }
    if (config.getRemoved().hasPcm()) {
      throw ProblemException.invalid(
          "config.removed", "can only be a file", "set `config.removed.file`");
    }
    Target removed = Target.of("config.removed", config.getRemoved(), audio.file(), site.folders());
    if (removed.file().equals(output.file())) {
      throw ProblemException.invalid(
          "config.removed.file", "is the same file as `config.output.file`", "name two");
    }
    return removed;
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
      throw Failures.setting(e, "config.room_tone");
    }
  }

  /** Copies the audio that passes through into a sink. */
  private static final class Tap extends PassingSource {
    private final Target.Sink sink;
    private final RemovedAudio removed;
    private final float[][] block;
    private long passed;

    Tap(AudioSource source, Target.Sink sink, RemovedAudio removed) {
      super(source);
      this.sink = sink;
      this.removed = removed;
      block = new float[source.channels()][Target.BLOCK];
    }

    @Override
    public int read(float[][] planar, int offset, int count) throws IOException {
      int n = source.read(block, 0, Math.min(count, Target.BLOCK));
      if (n <= 0) {
        return n;
      }
      for (int c = 0; c < block.length; c++) {
        System.arraycopy(block[c], 0, planar[c], offset, n);
      }
      sink.append(block, n);
      if (removed != null) {
        removed.append(block, n);
      }
      passed += n;
      return n;
    }

    @Override
    public void close() {}
  }

  /** What was removed: the input, read again, minus the result. */
  private static final class RemovedAudio implements Closeable {
    private final AudioSource input;
    private final Target.Sink sink;
    private final float[][] block;

    RemovedAudio(Target target, AudioSource input) throws IOException {
      this.input = input;
      this.sink = target.open(input.sampleRate(), input.channels(), format -> {}, audio -> {});
      block = new float[input.channels()][Target.BLOCK];
    }

    void append(float[][] result, int count) throws IOException {
      int got = 0;
      while (got < count) {
        int n = input.read(block, got, count - got);
        if (n < 0) {
          throw new IOException("the input has become shorter while it was read");
        }
        got += n;
      }
      for (int c = 0; c < block.length; c++) {
        for (int i = 0; i < count; i++) {
          block[c][i] -= result[c][i];
        }
      }
      sink.append(block, count);
    }

    @Override
    public void close() throws IOException {
      sink.close();
    }
  }
}
