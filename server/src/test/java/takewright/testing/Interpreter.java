package takewright.testing;

import java.io.BufferedReader;
import java.io.IOException;
import java.io.Writer;
import java.nio.file.Files;
import java.nio.file.Path;

/**
 * A Python that has loaded NumPy, SciPy's signal processing and, where it is there, libsndfile, and
 * runs each script in a process forked from it: loading them takes longer than most scripts do. It
 * ends with the tests, since its input ends then.
 */
final class Interpreter {
  private static final String LOOP =
      """
      import os, sys, traceback
      import numpy as np, scipy.signal as s
      try:
          import soundfile
      except ImportError:
          pass
      while True:
          folder = sys.stdin.readline().rstrip('\\n')
          if not folder:
              break
          child = os.fork()
          if child == 0:
              status = 1
              try:
                  os.chdir(folder)
                  log = os.open('log', os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
                  os.dup2(log, 1)
                  os.dup2(log, 2)
                  names = {'np': np, 's': s}
                  exec(compile(open('script.py', encoding='utf-8').read(), 'script.py', 'exec'), names)
                  np.asarray(names['y'], dtype='<f8').tofile('y')
                  status = 0
              except BaseException:
                  traceback.print_exc()
              finally:
                  sys.stdout.flush()
                  sys.stderr.flush()
                  os._exit(status)
          print(os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]), flush=True)
      """;

  private static Interpreter running;

  private final Writer in;
  private final BufferedReader out;

  private Interpreter() throws IOException {
    Process python =
        new ProcessBuilder(Outside.python().toString(), "-c", LOOP)
            .redirectError(ProcessBuilder.Redirect.INHERIT)
            .start();
    in = python.outputWriter();
    out = python.inputReader();
  }

  /**
   * Runs a script in a folder, where it leaves {@code y} as a file of little-endian doubles and
   * what it printed in {@code log}.
   *
   * @return 0 where nothing failed
   */
  static synchronized int run(Path folder, String script) throws IOException {
    Files.writeString(folder.resolve("script.py"), script);
    if (running == null) {
      running = new Interpreter();
    }
    running.in.write(folder.toAbsolutePath() + "\n");
    running.in.flush();
    String status = running.out.readLine();
    if (status == null) {
      running = null;
      throw new IOException("Python, NumPy or SciPy did not start; its message stands above");
    }
    return Integer.parseInt(status);
  }
}
