package takewright.analyse;

import java.util.ArrayList;
import java.util.EnumSet;
import java.util.List;
import java.util.Set;
import java.util.concurrent.CancellationException;
import java.util.concurrent.ExecutionException;
import java.util.concurrent.Executor;
import java.util.concurrent.FutureTask;
import takewright.analyse.AnalyseSettings.Detail;
import takewright.audio.Clip;
import takewright.diagnosis.Flag;
import takewright.pitch.HarmonicSum;
import takewright.pitch.Partials;
import takewright.pitch.Pitch;
import takewright.pitch.PitchOfNote;

/** Measures one sample: its pitch, level, timbre and faults. */
public final class Analyse {
  /** The true peak of digital silence in {@link MeasuredLevels}. */
  private static final double SILENCE_DBTP = -200;

  /** An offset that clicks at the start of a sample: -46 dBFS. Common practice. */
  private static final double LARGE_DC = 0.005;

  /** Overtones are this close to whole multiples: 30 cents. */
  private static final double OVERTONE = 0.0175;

  /** Confidence of each note of a chord, for which no votes are counted. */
  private static final double CHORD_CONFIDENCE = 0.5;

  private Analyse() {}

  /** The facts of {@code sample}, which is one note, tap or phrase. */
  public static SampleFacts apply(Clip sample, AnalyseSettings settings) {
    return apply(sample, settings, none -> {});
  }

  /**
   * The same facts. While the pitch is looked for here, {@code beside} may measure the levels in
   * another thread, which is a quarter of the work; what it has not begun by then is done here.
   */
  public static SampleFacts apply(Clip sample, AnalyseSettings settings, Executor beside) {
    FutureTask<MeasuredLevels> measuring = new FutureTask<>(() -> MeasuredLevels.measure(sample));
    beside.execute(measuring);
    Pitch pitch = pitch(sample, settings);
    measuring.run();
    return facts(sample, settings, pitch, done(measuring));
  }

  private static <T> T done(FutureTask<T> task) {
    try {
      return task.get();
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
      throw new CancellationException("interrupted");
    } catch (ExecutionException e) {
      if (e.getCause() instanceof Error error) {
        throw error;
      }
      throw (RuntimeException) e.getCause(); // measuring throws nothing that is checked
    }
  }

  private static SampleFacts facts(
      Clip sample, AnalyseSettings settings, Pitch pitch, MeasuredLevels levels) {
    Set<Flag> flags = EnumSet.noneOf(Flag.class);
    if (levels.peakDbtp() <= SILENCE_DBTP) {
      flags.add(Flag.SILENT);
    } else if (pitch == null && !settings.unpitched()) {
      flags.add(Flag.NO_PITCH);
    }
    boolean more = settings.detail().compareTo(Detail.CHARACTER) >= 0;
    boolean all = settings.detail() == Detail.FULL;
    Faults faults = more ? Faults.of(sample) : null;
    if (Faults.isAtFullScale(sample) || (more && faults.clippedTops() > 0)) {
      flags.add(Flag.CLIPPED);
    }
    if (more && faults.dropouts() > 0) {
      flags.add(Flag.DROPOUT);
    }
    if (more && Math.abs(faults.dc()) > LARGE_DC) {
      flags.add(Flag.DC);
    }
    List<Pitch> pitches = all ? pitches(sample, settings, pitch) : List.of();
    if (pitches.size() > 1) {
      flags.add(Flag.SEVERAL_PITCHES);
    }
    return new SampleFacts(
        pitch,
        levels.levelLufs(),
        levels.peakDbtp(),
        levels.floorDbfs(),
        flags,
        more ? Envelope.measure(sample) : null,
        more ? Timbre.of(sample, pitch) : null,
        faults,
        all && !settings.unpitched() ? CourseOfPitch.of(sample, pitch) : null,
        pitches);
  }

  /**
   * All notes that sound. A period alone does not tell a chord from the note whose overtones its
   * notes could be; that note must have others of its own.
   */
  private static List<Pitch> pitches(Clip sample, AnalyseSettings settings, Pitch one) {
    if (settings.unpitched()) {
      return List.of();
    }
    float[] mono = sample.mono();
    HarmonicSum sum = new HarmonicSum(Partials.of(mono, sample.sampleRate(), 0, mono.length));
    boolean real = one != null && sum.real(one.frequencyHz());
    List<Pitch> several = new ArrayList<>();
    boolean overtones = true;
    for (double hz : sum.all()) {
      several.add(Pitch.of(hz, settings.tuningHz(), CHORD_CONFIDENCE));
      double ratio = one == null ? 0.5 : hz / one.frequencyHz();
      overtones &= Math.abs(ratio - Math.round(ratio)) < OVERTONE * ratio;
    }
    if (several.size() > 1 && !(real && overtones)) {
      return several;
    }
    return one == null ? List.of() : List.of(one);
  }

  /**
   * Only the pitch of {@link #apply}; null if no single note is heard, or no pitch is looked for.
   */
  public static Pitch pitch(Clip sample, AnalyseSettings settings) {
    if (settings.unpitched()) {
      return null;
    }
    double expected = settings.expectedHz();
    return expected > 0
        ? PitchOfNote.expecting(sample, expected, settings.tuningHz())
        : PitchOfNote.of(sample, settings.tuningHz());
  }

  /** The pitch of the steady part, or null if no one note is heard. */
  public static Pitch pitch(Clip sample, double tuningHz) {
    return PitchOfNote.of(sample, tuningHz);
  }
}
