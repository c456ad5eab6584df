package takewright.testing;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.io.IOException;
import java.nio.ByteBuffer;
import java.nio.ByteOrder;
import java.nio.file.Files;
import java.nio.file.Path;

/**
 * Runs a few lines of Python with NumPy ({@code np}) and SciPy's signal processing ({@code s}) in a
 * folder. Numbers go in and come out as files of little-endian doubles.
 */
public final class SciPy {
  private final Path folder;

  /** Works in {@code folder}, which is the test's own. */
  public SciPy(Path folder) {
    this.folder = folder;
  }

  /** A file for the script: {@code np.fromfile(name)} reads it. */
  public SciPy with(String name, double... values) throws IOException {
    ByteBuffer bytes = ByteBuffer.allocate(8 * values.length).order(ByteOrder.LITTLE_ENDIAN);
    bytes.asDoubleBuffer().put(values);
    Files.write(folder.resolve(name), bytes.array());
    return this;
  }

  /** The same of floats, each as the double that it is. */
  public SciPy with(String name, float[] values) throws IOException {
    double[] doubles = new double[values.length];
    for (int i = 0; i < doubles.length; i++) {
      doubles[i] = values[i];
    }
    return with(name, doubles);
  }

  /** Runs the script and reads what it leaves in {@code y}, an array of numbers. */
  public double[] y(String script) throws IOException {
    int status = Interpreter.run(folder, script);
    assertEquals(0, status, () -> read(folder.resolve("log")));
    ByteBuffer bytes =
        ByteBuffer.wrap(Files.readAllBytes(folder.resolve("y"))).order(ByteOrder.LITTLE_ENDIAN);
    double[] values = new double[bytes.remaining() / 8];
    bytes.asDoubleBuffer().get(values);
    return values;
  }

  private static String read(Path log) {
    try {
      return Files.readString(log);
    } catch (IOException e) {
      return e.toString();
    }
  }
}
