package takewright.library.folder;

import com.fasterxml.jackson.databind.json.JsonMapper;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import takewright.audio.original.AtomicFile;
import takewright.audio.original.CheckedFile;

/**
 * What a build changed about the samples of a library since the last build that was finished.
 *
 * <p>The samples as they were before lie in {@link #BEFORE} until the next build begins, so that
 * they can be heard beside the new ones.
 *
 * @param isFirst whether no build was finished in the folder before
 * @param added samples that are new, by name
 * @param changed samples that were made again, by name
 * @param vanished samples that are there no more, by name
 */
public record Changes(
    boolean isFirst, List<String> added, List<String> changed, List<String> vanished) {
  /** Where the earlier samples lie, relative to the library. */
  public static final String BEFORE = ".takewright/before";

  /** Where the changes are kept, relative to the library. */
  private static final String FILE = ".takewright/changes.json";

  public Changes {
    added = List.copyOf(added);
    changed = List.copyOf(changed);
    vanished = List.copyOf(vanished);
  }

  /** Nothing changed. */
  public static final Changes NONE = new Changes(false, List.of(), List.of(), List.of());

  /** What the last finished build of a library changed; nothing while a build runs. */
  public static Changes read(Path library) throws IOException {
    Path file = library.resolve(FILE);
    return Files.exists(file)
        ? JsonMapper.builder().build().readValue(CheckedFile.content(file), Changes.class)
        : NONE;
  }

  void write(Path library) throws IOException {
    AtomicFile.replace(library.resolve(FILE), JsonMapper.builder().build().writeValueAsBytes(this));
  }

  /** Forgets the changes. */
  static void clear(Path library) throws IOException {
    CheckedFile.delete(library.resolve(FILE));
  }
}
