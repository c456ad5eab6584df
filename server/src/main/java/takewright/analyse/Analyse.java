package takewright.analyse;

import takewright.audio.Clip;

/** Measures one sample: its pitch, level and noise. */
public final class Analyse {
  private Analyse() {}

  /** The facts of {@code sample}, which is one note, hit or phrase. */
  public static SampleFacts apply(Clip sample, AnalyseSettings settings) {
    throw new UnsupportedOperationException("not yet");
  }
}
