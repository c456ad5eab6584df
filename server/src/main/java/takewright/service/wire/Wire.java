package takewright.service.wire;

import com.google.protobuf.ProtocolMessageEnum;
import java.util.Arrays;
import java.util.List;
import java.util.Set;
import java.util.function.Supplier;
import takewright.diagnosis.Flag;
import takewright.diagnosis.ProblemException;
import takewright.name.NoteNames;
import takewright.pitch.Kind;
import takewright.segment.Segmentation;
import takewright.v1.FrameRange;
import takewright.v1.Pitch;
import takewright.v1.Region;
import takewright.v1.RegionStatus;
import takewright.v1.SegmentSummary;

/** Converts between the contract's messages and the operations' types. */
public final class Wire {
  /** The level that stands for digital silence, in dB. */
  private static final double SILENCE_DB = -200;

  private Wire() {}

  /** Settings of an operation; where they are out of range, INVALID_ARGUMENT with the field. */
  public static <T> T settings(Supplier<T> make) {
    return settings("config", make);
  }

  /** The same of a message within the settings, which {@code path} leads to. */
  public static <T> T settings(String path, Supplier<T> make) {
    try {
      return make.get();
    } catch (IllegalArgumentException e) {
      throw Failures.setting(e, path);
    }
  }

  /**
   * A value of an enum that this version does not know.
   *
   * @param known all values of the enum; those that are never set are left out of the remedy
   */
  public static <E extends Enum<E> & ProtocolMessageEnum> ProblemException unknown(
      String field, E[] known) {
    return ProblemException.invalid(field, "is not one that this version knows", set(known));
  }

  /** What to do about an enum that is not set, or to an unknown value. */
  public static <E extends Enum<E> & ProtocolMessageEnum> String set(E[] known) {
    return set(
        Arrays.stream(known)
            .map(Enum::name)
            .filter(name -> !name.endsWith("_UNSPECIFIED") && !name.equals("UNRECOGNIZED"))
            .toList());
  }

  /** What to do about a choice of which none is made. */
  public static String set(List<String> names) {
    int last = names.size() - 1;
    return "set " + String.join(", ", names.subList(0, last)) + " or " + names.get(last);
  }

  /** Null if the kind is not said. */
  public static Kind kind(takewright.v1.Kind kind) {
    return switch (kind) {
      case KIND_UNSPECIFIED -> null;
      case KIND_PITCHED -> Kind.PITCHED;
      case KIND_UNPITCHED -> Kind.UNPITCHED;
      case KIND_PHRASE -> Kind.PHRASE;
      case KIND_GLIDE -> Kind.GLIDE;
      case KIND_CLUSTER -> Kind.CLUSTER;
      case UNRECOGNIZED -> throw unknown("config.kind", takewright.v1.Kind.values());
    };
  }

  public static takewright.v1.Kind kind(Kind kind) {
    return switch (kind) {
      case PITCHED -> takewright.v1.Kind.KIND_PITCHED;
      case UNPITCHED -> takewright.v1.Kind.KIND_UNPITCHED;
      case PHRASE -> takewright.v1.Kind.KIND_PHRASE;
      case GLIDE -> takewright.v1.Kind.KIND_GLIDE;
      case CLUSTER -> takewright.v1.Kind.KIND_CLUSTER;
    };
  }

  public static Pitch pitch(takewright.pitch.Pitch pitch) {
    Pitch.Builder wire = Pitch.newBuilder();
    if (pitch.isExact()) {
      wire.setCentsUncertainty(pitch.centsUncertainty());
    }
    return wire.setMidi(pitch.midi())
        .setCents(pitch.cents())
        .setNote(NoteNames.DEFAULTS.spell(pitch.midi()))
        .setFrequencyHz(pitch.frequencyHz())
        .setConfidence(pitch.confidence())
        .build();
  }

  /** A level that is a number for digital silence too. */
  public static double level(double dbfs) {
    return Math.max(SILENCE_DB, dbfs);
  }

  /** Flags as the contract has them. */
  public static List<takewright.v1.Flag> flags(Set<Flag> flags) {
    return flags.stream().map(flag -> takewright.v1.Flag.valueOf("FLAG_" + flag.name())).toList();
  }

  public static Region region(takewright.segment.Region region) {
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
            .addAllFlags(flags(region.flags()))
            .setPeakDbfs(region.peakDbfs());
    if (region.pitch() != null) {
      wire.setPitch(pitch(region.pitch()));
    }
    return wire.build();
  }

  public static SegmentSummary summary(Segmentation found) {
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
}
