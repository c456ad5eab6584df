package takewright.diagnosis;

import java.io.IOException;

/** A file, or the state of a folder, that work cannot go on with. */
public class FileProblemException extends IOException implements Diagnosed {
  private static final long serialVersionUID = 1L;

  private final transient Problem problem;

  public FileProblemException(Problem problem) {
    this(problem, null);
  }

  public FileProblemException(Problem problem, Throwable cause) {
    super(problem.text(), cause);
    this.problem = problem;
  }

  /** About a file as a whole. */
  public FileProblemException(Reason reason, String file, String what, String remedy) {
    this(new Problem(reason, "", Place.of(file), what, remedy));
  }

  /** A file, or a thing in a plan of files, that cannot be worked with. */
  public static FileProblemException invalid(String file, String what, String remedy) {
    return new FileProblemException(Reason.INPUT_INVALID, file, what, remedy);
  }

  @Override
  public final Problem problem() {
    return problem;
  }
}
