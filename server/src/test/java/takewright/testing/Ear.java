package takewright.testing;

import java.io.IOException;
import java.io.InputStream;
import java.io.UncheckedIOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;

/**
 * Hears written files with others' ears: libsndfile, NumPy and SciPy, and chunks as Python reads
 * them. The functions are those of {@code ear.py} in the test resources.
 */
public final class Ear {
  private final Path folder;

  /** Works in a folder of its own below {@code folder}. */
  public Ear(Path folder) {
    try {
      this.folder = Files.createTempDirectory(folder, "ear");
    } catch (IOException e) {
      throw new UncheckedIOException(e);
    }
  }

  /** The numbers that some lines of Python leave in {@code y}; ear.py's functions are there. */
  public double[] y(String script) {
    try (InputStream in = Ear.class.getResourceAsStream("/ear.py")) {
      String functions = new String(in.readAllBytes(), StandardCharsets.UTF_8);
      return new SciPy(folder).y(functions + "\n" + script);
    } catch (IOException e) {
      throw new UncheckedIOException(e);
    }
  }

  /** How far a file is off a frequency, in cents; it must be right within 60. */
  public double cents(Path file, double hz) {
    return y("y = [cents(" + quoted(file) + ", " + hz + ")]")[0];
  }

  /** The same of several files. */
  public double[] cents(java.util.List<Path> files, double... hz) {
    StringBuilder script = new StringBuilder("y = [");
    for (int i = 0; i < files.size(); i++) {
      script.append("cents(").append(quoted(files.get(i))).append(", ").append(hz[i]).append("), ");
    }
    return y(script.append("]").toString());
  }

  /** First and last frame of a file's loop; -1 and -1 for none. */
  public long[] loop(Path file) {
    double[] loop = y("y = loop(" + quoted(file) + ")");
    return new long[] {(long) loop[0], (long) loop[1]};
  }

  /** Number of frames, by libsndfile. */
  public long frames(Path file) {
    return (long) y("y = [sf.info(" + quoted(file) + ").frames]")[0];
  }

  /** A path as Python writes it. */
  public static String quoted(Path file) {
    return "r'" + file.toAbsolutePath() + "'";
  }
}
