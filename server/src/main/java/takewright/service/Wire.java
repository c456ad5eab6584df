package takewright.service;

import java.util.function.Supplier;
import takewright.audio.Clip;
import takewright.segment.Kind;
import takewright.segment.Segmentation;
import takewright.v1.FrameRange;
import takewright.v1.Pitch;
import takewright.v1.Region;
import takewright.v1.RegionStatus;
import takewright.v1.SampleFacts;
import takewright.v1.SegmentSummary;

/** From the contract's messages to the operations' types and back. */
final class Wire {
  private static final String[] NOTES = {
    "C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B"
  };

  private Wire() {}

  /** Settings of an operation; where they are out of range, INVALID_ARGUMENT with the field. */
  static <T> T settings(Supplier<T> make) {
    try {
      return make.get();
    } catch (IllegalArgumentException e) {
      throw Refusal.invalid("`config`: " + e.getMessage());
    }
  }

  /** Null where the kind is not said. */
  static Kind kind(takewright.v1.Kind kind) {
    return switch (kind) {
      case KIND_UNSPECIFIED -> null;
      case KIND_PITCHED -> Kind.PITCHED;
      case KIND_UNPITCHED -> Kind.UNPITCHED;
      case KIND_PHRASE -> Kind.PHRASE;
      case KIND_GLIDE -> Kind.GLIDE;
      case KIND_CLUSTER -> Kind.CLUSTER;
      case UNRECOGNIZED ->
          throw Refusal.invalid("`config.kind` is not a kind that this version knows");
    };
  }

  static takewright.v1.Kind kind(Kind kind) {
    return switch (kind) {
      case PITCHED -> takewright.v1.Kind.KIND_PITCHED;
      case UNPITCHED -> takewright.v1.Kind.KIND_UNPITCHED;
      case PHRASE -> takewright.v1.Kind.KIND_PHRASE;
      case GLIDE -> takewright.v1.Kind.KIND_GLIDE;
      case CLUSTER -> takewright.v1.Kind.KIND_CLUSTER;
    };
  }

  static Pitch pitch(takewright.analyse.Pitch pitch) {
    return Pitch.newBuilder()
        .setMidi(pitch.midi())
        .setCents(pitch.cents())
        .setNote(note(pitch.midi()))
        .setFrequencyHz(pitch.frequencyHz())
        .setConfidence(pitch.confidence())
        .build();
  }

  /** The note's name where middle C is C4. */
  private static String note(int midi) {
    return NOTES[midi % 12] + (midi / 12 - 1);
  }

  static Region region(takewright.segment.Region region) {
    Region.Builder wire =
        Region.newBuilder()
            .setStartFrame(region.start())
            .setOnsetFrame(region.onset())
            .setEndFrame(region.end())
            .setKind(kind(region.kind()))
            .setConfidence(region.confidence())
            .setStatus(
                region.rejected()
                    ? RegionStatus.REGION_STATUS_REJECTED
                    : RegionStatus.REGION_STATUS_KEPT)
            .addAllFlags(region.flags())
            .setPeakDbfs(region.peakDbfs());
    if (region.pitch() != null) {
      wire.setPitch(pitch(region.pitch()));
    }
    return wire.build();
  }

  static SegmentSummary summary(Segmentation found) {
    SegmentSummary.Builder wire =
        SegmentSummary.newBuilder()
            .setFrames(found.frames())
            .setSampleRateHz(found.sampleRate())
            .setRoomToneDbfs(found.roomToneDbfs());
    for (takewright.segment.FrameRange range : found.roomTone()) {
      wire.addRoomTone(
          FrameRange.newBuilder().setStartFrame(range.start()).setEndFrame(range.end()));
    }
    return wire.build();
  }

  /** The facts of a sample; {@code kind} is what the client said it is, or null. */
  static SampleFacts facts(takewright.analyse.SampleFacts facts, Kind kind, Clip sample) {
    Kind taken = kind;
    if (taken == null) {
      taken = facts.pitch() == null ? Kind.UNPITCHED : Kind.PITCHED;
    }
    SampleFacts.Builder wire =
        SampleFacts.newBuilder()
            .setKind(kind(taken))
            .setPeakDbtp(facts.peakDbtp())
            .setFloorDbfs(facts.floorDbfs())
            .addAllFlags(facts.flags())
            .setFrames(sample.frames())
            .setSampleRateHz(sample.sampleRate())
            .setChannels(sample.channels());
    if (!Double.isNaN(facts.levelLufs())) {
      wire.setLevelLufs(facts.levelLufs());
    }
    if (facts.pitch() != null) {
      wire.setPitch(pitch(facts.pitch()));
    }
    return wire.build();
  }
}
