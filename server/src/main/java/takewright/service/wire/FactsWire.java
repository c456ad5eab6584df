package takewright.service.wire;

import java.util.function.DoubleConsumer;
import takewright.analyse.AnalyseSettings;
import takewright.analyse.Course;
import takewright.audio.Clip;
import takewright.pitch.Kind;
import takewright.v1.BlockFacts;
import takewright.v1.Detail;
import takewright.v1.Envelope;
import takewright.v1.Faults;
import takewright.v1.FrameRange;
import takewright.v1.PitchCourse;
import takewright.v1.SampleFacts;
import takewright.v1.Timbre;

/** The facts of a sample as messages of the contract. */
public final class FactsWire {
  private FactsWire() {}

  public static AnalyseSettings.Detail detail(Detail detail) {
    return switch (detail) {
      case DETAIL_UNSPECIFIED, DETAIL_ESSENTIAL -> AnalyseSettings.Detail.ESSENTIAL;
      case DETAIL_CHARACTER -> AnalyseSettings.Detail.CHARACTER;
      case DETAIL_FULL -> AnalyseSettings.Detail.FULL;
      case UNRECOGNIZED -> throw Wire.unknown("config.detail", Detail.values());
    };
  }

  /** {@code kind} is the kind that the client gave, or null. */
  public static SampleFacts facts(takewright.analyse.SampleFacts facts, Kind kind, Clip sample) {
    SampleFacts.Builder wire =
        SampleFacts.newBuilder()
            .setKind(Wire.kind(kind == null ? heard(facts) : kind))
            .setPeakDbtp(facts.peakDbtp())
            .setFloorDbfs(facts.floorDbfs())
            .addAllFlags(Wire.flags(facts.flags()))
            .setFrames(sample.frames())
            .setSampleRateHz(sample.sampleRate())
            .setChannels(sample.channels());
    set(facts.levelLufs(), wire::setLevelLufs);
    if (facts.pitch() != null) {
      wire.setPitch(Wire.pitch(facts.pitch()));
    }
    if (facts.envelope() != null && !Double.isNaN(facts.envelope().onsetS())) {
      wire.setEnvelope(envelope(facts.envelope()));
    }
    if (facts.timbre() != null) {
      wire.setTimbre(timbre(facts.timbre()));
    }
    if (facts.faults() != null) {
      wire.setFaults(faults(facts.faults()));
    }
    if (facts.course() != null) {
      wire.setCourse(course(facts.course()));
    }
    facts.pitches().forEach(pitch -> wire.addPitches(Wire.pitch(pitch)));
    return wire.build();
  }

  public static BlockFacts block(takewright.analyse.BlockFacts block) {
    BlockFacts.Builder wire =
        BlockFacts.newBuilder()
            .setFrames(
                FrameRange.newBuilder()
                    .setStartFrame(block.startFrame())
                    .setEndFrame(block.endFrame()))
            .setRmsDbfs(block.rmsDbfs())
            .setPeakDbfs(block.peakDbfs());
    set(block.momentaryLufs(), wire::setMomentaryLufs);
    set(block.shortTermLufs(), wire::setShortTermLufs);
    if (block.pitch() != null) {
      wire.setPitch(Wire.pitch(block.pitch()));
    }
    return wire.build();
  }

  private static Kind heard(takewright.analyse.SampleFacts facts) {
    if (facts.pitches().size() > 1) {
      return Kind.CLUSTER;
    }
    if (facts.course() != null && facts.course().glides()) {
      return Kind.GLIDE;
    }
    return facts.pitch() == null ? Kind.UNPITCHED : Kind.PITCHED;
  }

  private static Envelope envelope(takewright.analyse.Envelope envelope) {
    Envelope.Builder wire =
        Envelope.newBuilder()
            .setOnsetS(envelope.onsetS())
            .setAttackMs(envelope.attackMs())
            .setDecayMs(envelope.decayMs())
            .setReleaseMs(envelope.releaseMs())
            .setSteadyRmsDbfs(envelope.steadyRmsDbfs());
    set(envelope.floorBeforeDbfs(), wire::setFloorBeforeDbfs);
    set(envelope.floorAfterDbfs(), wire::setFloorAfterDbfs);
    set(envelope.signalToNoiseDb(), wire::setSignalToNoiseDb);
    return wire.build();
  }

  private static Timbre timbre(takewright.analyse.Timbre timbre) {
    Timbre.Builder wire = Timbre.newBuilder().setNoisiness(timbre.noisiness());
    set(timbre.centroidHz(), wire::setCentroidHz);
    set(timbre.centroidStartHz(), wire::setCentroidStartHz);
    set(timbre.centroidEndHz(), wire::setCentroidEndHz);
    set(timbre.balanceDb(), wire::setBalanceDb);
    set(timbre.correlation(), wire::setCorrelation);
    return wire.build();
  }

  private static Faults faults(takewright.analyse.Faults faults) {
    Faults.Builder wire =
        Faults.newBuilder()
            .setClippedTops(faults.clippedTops())
            .setDropouts(faults.dropouts())
            .setDc(faults.dc());
    set(faults.clipLevelDbfs(), wire::setClipLevelDbfs);
    if (faults.firstDropoutFrame() >= 0) {
      wire.setFirstDropoutFrame(faults.firstDropoutFrame());
    }
    return wire.build();
  }

  private static PitchCourse course(Course course) {
    PitchCourse.Builder wire =
        PitchCourse.newBuilder()
            .setDeviationCents(course.deviationCents())
            .setDriftCents(course.driftCents())
            .setVoiced(course.voiced());
    set(course.vibratoHz(), wire::setVibratoHz);
    set(course.vibratoCents(), wire::setVibratoCents);
    set(course.glideFromHz(), wire::setGlideFromHz);
    set(course.glideToHz(), wire::setGlideToHz);
    return wire.build();
  }

  /** Omits what is not known. */
  private static void set(double value, DoubleConsumer field) {
    if (!Double.isNaN(value)) {
      field.accept(value);
    }
  }
}
