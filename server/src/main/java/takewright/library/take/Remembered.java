package takewright.library.take;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.function.Predicate;
import takewright.audio.Recording;

/**
 * What was found in recordings, for the next build in the same process: after a decision about one
 * region nothing else needs to be heard again. Bounded; what was asked for longest ago is
 * forgotten.
 *
 * @param <V> what was found, which must not change
 */
public final class Remembered<V> {
  /** Recordings as their files are now, and what besides them was asked for. */
  private record RememberedKey(Recording recording, List<String> stamps, Object asked) {}

  /** Finds it. */
  public interface Finder<V> {
    V find() throws IOException;
  }

  private final int most;
  private final Map<RememberedKey, V> found =
      new LinkedHashMap<>(16, 0.75f, true) {
        private static final long serialVersionUID = 1;

        @Override
        protected boolean removeEldestEntry(Map.Entry<RememberedKey, V> eldest) {
          return size() > most;
        }
      };

  /**
   * @param most findings that are remembered
   */
  public Remembered(int most) {
    this.most = most;
  }

  /**
   * What was found before in the same files, or is found now.
   *
   * @param asked all that it depends on besides the files, comparable by its content
   */
  public V get(Recording recording, Object asked, Finder<V> finder) throws IOException {
    return getIf(value -> true, recording, asked, finder);
  }

  /** The same; only what passes a test is remembered. */
  public V getIf(Predicate<V> isToRemember, Recording recording, Object asked, Finder<V> finder)
      throws IOException {
    RememberedKey key = new RememberedKey(recording, stamps(recording), asked);
    synchronized (found) {
      if (found.containsKey(key)) {
        return found.get(key);
      }
    }
    V now = finder.find();
    if (isToRemember.test(now)) {
      synchronized (found) {
        found.put(key, now);
      }
    }
    return now;
  }

  /** Size and time of each file: a file that was written again is another one. */
  private static List<String> stamps(Recording recording) throws IOException {
    List<String> stamps = new ArrayList<>();
    for (Path file : recording.files()) {
      stamps.add(Files.size(file) + ":" + Files.getLastModifiedTime(file));
    }
    return stamps;
  }
}
