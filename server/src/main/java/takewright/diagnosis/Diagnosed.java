package takewright.diagnosis;

/** A failure that knows its problem; its message is the problem's line. */
public interface Diagnosed {
  Problem problem();
}
