package takewright.service.call;

import com.google.protobuf.ByteString;
import java.io.IOException;
import java.nio.file.Path;
import takewright.audio.AudioSource;
import takewright.audio.marker.MarkedCopy;
import takewright.diagnosis.ProblemException;
import takewright.library.RegionMarkers;
import takewright.library.take.LevelStrip;
import takewright.name.NoteNames;
import takewright.report.TakePicture;
import takewright.segment.Segment;
import takewright.segment.SegmentSettings;
import takewright.segment.Segmentation;
import takewright.service.wire.Wire;
import takewright.service.work.Priority;
import takewright.v1.AudioInput;
import takewright.v1.SegmentConfig;
import takewright.v1.SegmentRequest;
import takewright.v1.SegmentResponse;

/** Adapter of Segment. */
public final class SegmentAdapter
    implements StreamedOperation<SegmentRequest, SegmentConfig, SegmentResponse> {
  @Override
  public SegmentConfig config(SegmentRequest request) {
    return request.hasConfig() ? request.getConfig() : null;
  }

  @Override
  public ByteString audio(SegmentRequest request) {
    return request.hasAudio() ? request.getAudio() : null;
  }

  @Override
  public AudioInput input(SegmentConfig config) {
    return config.getInput();
  }

  @Override
  public Priority priority() {
    return Priority.LONG;
  }

  @Override
  public void run(
      SegmentConfig config, CallAudio audio, Site site, Answers<SegmentResponse> answers)
      throws IOException {
    SegmentSettings settings = Wire.settings(() -> settings(config));
    Path copy = markersFile(config, audio, site);
    answers.send(SegmentResponse.newBuilder().setInput(audio.format()).build());
    AudioSource take = audio.once();
    LevelStrip strip = config.getPicture() ? new LevelStrip(take) : null;
    Segmentation found =
        Segment.apply(
            strip == null ? take : strip,
            settings,
            region ->
                answers.sendAhead(
                    SegmentResponse.newBuilder().setRegion(Wire.region(region)).build()),
            site.workers()::beside);
    if (strip != null) {
      byte[] png = TakePicture.png(found, strip.levels(), NoteNames.DEFAULTS::spell);
      answers.send(SegmentResponse.newBuilder().setPicture(ByteString.copyFrom(png)).build());
    }
    if (copy != null) {
      audio.stopIfCancelled();
      MarkedCopy.write(audio.file(), copy, RegionMarkers.of(found.regions(), NoteNames.DEFAULTS));
    }
    answers.send(SegmentResponse.newBuilder().setSummary(Wire.summary(found)).build());
  }

  /** Where the copy with markers goes; null if none is wanted. Checked before any work is done. */
  private static Path markersFile(SegmentConfig config, CallAudio audio, Site site)
      throws IOException {
    String field = "config.markers_file";
    if (config.getMarkersFile().isEmpty()) {
      return null;
    }
    if (audio.file() == null) {
      throw ProblemException.invalid(
          field, "is a copy of a file, and the audio is streamed", "name the take by its path");
    }
    if (Target.isSame(audio.file(), config.getMarkersFile())) {
      throw ProblemException.invalid(
          field,
          "is the take, which is never written over: " + config.getMarkersFile(),
          "name another file");
    }
    return site.folders()
        .wavToWrite(
            field, config.getMarkersFile(), config.getReplaceMarkersFile(), "replace_markers_file");
  }

  private static SegmentSettings settings(SegmentConfig config) {
    SegmentSettings usual = SegmentSettings.forKind(Wire.kind(config.getKind()));
    return new SegmentSettings(
        usual.kind(),
        config.hasLeadInMs() ? config.getLeadInMs() : usual.leadInMs(),
        config.hasOnThresholdDb() ? config.getOnThresholdDb() : usual.onThresholdDb(),
        config.hasOffThresholdDb() ? config.getOffThresholdDb() : usual.offThresholdDb(),
        config.hasMinGapMs() ? config.getMinGapMs() : usual.minGapMs(),
        config.hasMinLengthMs() ? config.getMinLengthMs() : usual.minLengthMs(),
        config.hasTuningHz() ? config.getTuningHz() : usual.tuningHz());
  }
}
