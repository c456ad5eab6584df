package takewright.service.build;

import com.google.protobuf.InvalidProtocolBufferException;
import com.google.protobuf.util.JsonFormat;
import com.google.protobuf.util.Timestamps;
import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import java.util.stream.Stream;
import org.slf4j.Logger;
import org.slf4j.LoggerFactory;
import takewright.audio.original.AtomicFile;
import takewright.v1.Build;

/**
 * The builds of a service on disk, one file of JSON each, so that a service that is started later
 * on the same port still knows them.
 */
final class BuildRecords {
  private static final Logger LOG = LoggerFactory.getLogger(BuildRecords.class);
  private static final String ENDING = ".json";

  /** Null: nothing is kept. */
  private final Path folder;

  BuildRecords(Path folder) {
    this.folder = folder;
  }

  /** All builds that are kept, in the order in which they were started. */
  List<Build> read() throws IOException {
    List<Build> builds = new ArrayList<>();
    if (folder == null || !Files.isDirectory(folder)) {
      return builds;
    }
    try (Stream<Path> files = Files.list(folder)) {
      for (Path file : (Iterable<Path>) files::iterator) {
        if (file.toString().endsWith(ENDING)) {
          read(file, builds);
        }
      }
    }
    builds.sort(Comparator.comparing(Build::getStartTime, Timestamps.comparator()));
    return builds;
  }

  /** A file that cannot be read is passed over: the service starts without that build. */
  private static void read(Path file, List<Build> builds) throws IOException {
    Build.Builder build = Build.newBuilder();
    try {
      JsonFormat.parser()
          .ignoringUnknownFields()
          .merge(Files.readString(file, StandardCharsets.UTF_8), build);
      builds.add(build.build());
    } catch (InvalidProtocolBufferException e) {
      LOG.warn("{} is not the record of a build: {}", file, e.getMessage());
    }
  }

  /** Keeps a build. A service whose disk is full builds on and forgets the build when it ends. */
  void keep(Build build) {
    if (folder == null) {
      return;
    }
    try {
      Files.createDirectories(folder);
      AtomicFile.replace(
          file(build), JsonFormat.printer().print(build).getBytes(StandardCharsets.UTF_8));
    } catch (IOException e) {
      LOG.warn("{} cannot be saved for the next start: {}", build.getBuildId(), e.toString());
    }
  }

  /** Forgets a build. */
  void forget(Build build) {
    if (folder == null) {
      return;
    }
    try {
      Files.deleteIfExists(file(build));
    } catch (IOException e) {
      LOG.warn("the record of {} cannot be deleted: {}", build.getBuildId(), e.toString());
    }
  }

  private Path file(Build build) {
    return folder.resolve(build.getBuildId() + ENDING);
  }
}
