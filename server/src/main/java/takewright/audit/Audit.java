package takewright.audit;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.NotDirectoryException;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.Comparator;
import java.util.List;
import java.util.Locale;
import java.util.concurrent.CancellationException;
import java.util.function.BooleanSupplier;
import java.util.function.Consumer;
import java.util.stream.Stream;
import takewright.analyse.Analyse;
import takewright.analyse.AnalyseSettings;
import takewright.audio.AudioFile;
import takewright.audio.BadAudioException;
import takewright.audio.Clip;
import takewright.diagnosis.FileProblemException;
import takewright.diagnosis.Reason;
import takewright.pitch.Pitch;

/** Compares the names in a folder of samples with what is heard. Changes nothing. */
public final class Audit {
  /** Of longer files only the first minute is read, since samples are notes. */
  private static final int MAX_HEARD_S = 60;

  /** Depth of subfolders that are read. */
  private static final int DEPTH = 8;

  private static final List<String> ENDINGS =
      List.of(".wav", ".wave", ".aif", ".aiff", ".aifc", ".flac");

  private Audit() {}

  /**
   * Reads the samples of a folder, those in folders within it too.
   *
   * @param tuningHz frequency of A4 in hertz, 392 to 466
   * @param findings receives what is found, by file
   * @param cancelled whether to stop; asked between files
   * @throws NotDirectoryException if it is not a folder
   * @throws FileProblemException if it holds no samples, or some under the names of an interrupted
   *     {@link RenamePlan}
   * @throws CancellationException once cancelled
   */
  public static AuditReport run(
      Path folder, double tuningHz, Consumer<Finding> findings, BooleanSupplier cancelled)
      throws IOException {
    AnalyseSettings settings =
        new AnalyseSettings(false, tuningHz, AnalyseSettings.Detail.CHARACTER);
    List<HeardFile> heard =
        list(folder).parallelStream().map(path -> hear(folder, path, settings, cancelled)).toList();
    stopIf(cancelled);
    NoteReading reading =
        NoteReading.of(
            heard.stream().map(HeardFile::name).toList(),
            Arrays.asList(heard.stream().map(HeardFile::pitch).toArray(Pitch[]::new)));
    List<AuditedFile> files = AuditedFile.all(heard, reading);
    int named = (int) files.stream().filter(file -> file.says() != null).count();
    List<Finding> found = new ArrayList<>();
    new NameFindings(files, reading, named, found).look();
    new SoundFindings(files, found).look();
    new Duplicates(files, found, cancelled).look();
    new MissingCells(files, reading, found).look();
    found.sort(Comparator.comparing(Finding::file).thenComparing(Finding::finding));
    found.forEach(findings);

    RenamePlan.Draft draft = RenamePlan.draft(files, reading);
    return new AuditReport(
        files.size(),
        found.size(),
        named == 0 || reading.numbers() ? "" : "C" + reading.names().middleC(),
        reading.agreeing(),
        named,
        draft.renames(),
        draft.left());
  }

  private static List<Path> list(Path folder) throws IOException {
    if (!Files.isDirectory(folder)) {
      throw new NotDirectoryException(folder.toString());
    }
    try (Stream<Path> paths = Files.walk(folder, DEPTH)) {
      List<Path> all = paths.filter(Audit::isSample).sorted().toList();
      for (Path sample : all) {
        if (RenamePlan.isHalfRenamed(sample)) {
          throw new FileProblemException(
              Reason.NOT_NOW,
              sample.toString(),
              "is left from a renaming that was interrupted",
              "put the old names back first: give its undo file as `plan_file`");
        }
      }
      List<Path> samples = all.stream().filter(path -> !isHidden(folder.relativize(path))).toList();
      if (samples.isEmpty()) {
        throw FileProblemException.invalid(
            folder.toString(),
            "holds no samples",
            "name the folder that they are in; they end in " + String.join(", ", ENDINGS));
      }
      return samples;
    } catch (java.io.UncheckedIOException e) {
      throw e.getCause();
    }
  }

  /** Such as the samples of the build before. */
  private static boolean isHidden(Path relative) {
    for (Path part : relative) {
      if (part.toString().startsWith(".")) {
        return true;
      }
    }
    return false;
  }

  private static boolean isSample(Path path) {
    String name = path.getFileName().toString().toLowerCase(Locale.ROOT);
    return ENDINGS.stream().anyMatch(name::endsWith)
        && Files.isRegularFile(path, java.nio.file.LinkOption.NOFOLLOW_LINKS);
  }

  private static HeardFile hear(
      Path folder, Path path, AnalyseSettings settings, BooleanSupplier cancelled) {
    stopIf(cancelled);
    SampleName name = SampleName.of(folder.relativize(path).toString().replace('\\', '/'));
    try {
      Clip clip = read(path);
      if (clip.frames() == 0) {
        return HeardFile.unreadable(path, name, "holds no audio; record or export it again");
      }
      return new HeardFile(
          path,
          name,
          Analyse.apply(clip, settings),
          null,
          clip.sampleRate(),
          clip.channels(),
          (double) clip.frames() / clip.sampleRate());
    } catch (BadAudioException e) {
      return HeardFile.unreadable(path, name, e.what() + "; " + e.remedy());
    } catch (IOException e) {
      return HeardFile.unreadable(path, name, "cannot be read: check its permissions and the disk");
    }
  }

  /** The part of a sample that is analysed. */
  static Clip read(Path path) throws IOException {
    try (AudioFile audio = AudioFile.openChecked(path)) {
      long frames = Math.min(audio.frames(), (long) MAX_HEARD_S * audio.sampleRate());
      Clip clip = Clip.read(audio, (int) frames);
      for (int c = 0; c < clip.channels(); c++) {
        for (float x : clip.channel(c)) {
          if (!Float.isFinite(x)) {
            throw new BadAudioException(
                null, "holds samples that are not numbers", "export it again");
          }
        }
      }
      return clip;
    }
  }

  static void stopIf(BooleanSupplier cancelled) {
    if (cancelled.getAsBoolean()) {
      throw new CancellationException("the audit was cancelled");
    }
  }
}
