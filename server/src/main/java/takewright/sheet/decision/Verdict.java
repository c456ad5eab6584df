package takewright.sheet.decision;

/** A person's word on whether a region is a sample. */
public enum Verdict {
  /** It is one, whatever it sounds like. */
  KEEP,
  /** It is none. */
  DROP,
  /** What is heard decides; an earlier word on it no longer holds. */
  AS_HEARD
}
