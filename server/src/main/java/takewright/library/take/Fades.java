package takewright.library.take;

/** Fades of a sample. */
public final class Fades {
  /** Share of the lead-in that is faded in: the fade ends before the attack. */
  public static final double FADE_IN_SHARE = 0.5;

  /** Fade-out at the end of a region, in seconds: within the tail that lies behind the sound. */
  public static final double FADE_OUT_S = 0.08;

  /** Fade-out of a sample that was trimmed, in seconds: it ends within the sound. */
  public static final double TRIMMED_FADE_S = 0.25;

  private Fades() {}
}
