package takewright.diagnosis;

/** Ends a piece of work that cannot be done. */
public final class ProblemException extends RuntimeException implements Diagnosed {
  private static final long serialVersionUID = 1L;

  private final transient Problem problem;

  public ProblemException(Problem problem) {
    super(problem.text());
    this.problem = problem;
  }

  public ProblemException(Problem problem, Throwable cause) {
    super(problem.text(), cause);
    this.problem = problem;
  }

  public ProblemException(Reason reason, String field, String what, String remedy) {
    this(new Problem(reason, field, what, remedy));
  }

  /** A setting that cannot be worked with. */
  public static ProblemException invalid(String field, String what, String remedy) {
    return new ProblemException(Problem.invalid(field, what, remedy));
  }

  /** The caller stopped the work. */
  public static ProblemException cancelled() {
    return new ProblemException(
        Reason.CANCELLED, "", "the call was cancelled", "start it again; what is finished is kept");
  }

  @Override
  public Problem problem() {
    return problem;
  }
}
