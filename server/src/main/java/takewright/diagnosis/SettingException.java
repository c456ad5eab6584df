package takewright.diagnosis;

/** A setting of an operation that is out of range or contradicts another. */
public final class SettingException extends IllegalArgumentException implements Diagnosed {
  private static final long serialVersionUID = 1L;

  private final transient Problem problem;

  public SettingException(Problem problem) {
    super(problem.text());
    this.problem = problem;
  }

  public SettingException(String field, String what, String remedy) {
    this(Problem.invalid(field, what, remedy));
  }

  /** Refuses a number that is out of range, or is none. */
  public static void requireRange(String field, double value, double min, double max, String unit) {
    if (!(value >= min && value <= max)) {
      throw new SettingException(Problem.outOfRange(field, value, min, max, unit));
    }
  }

  @Override
  public Problem problem() {
    return problem;
  }
}
