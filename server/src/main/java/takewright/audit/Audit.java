package takewright.audit;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.NotDirectoryException;
import java.nio.file.Path;
import java.util.ArrayList;
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
   * @throws CancellationException once cancelled
   */
  public static AuditReport run(
      Path folder, double tuningHz, Consumer<Finding> findings, BooleanSupplier cancelled)
      throws IOException {
    AnalyseSettings settings =
        new AnalyseSettings(false, tuningHz, AnalyseSettings.Detail.CHARACTER);
    List<AuditedFile> files = list(folder);
    files.parallelStream().forEach(file -> listen(file, settings, cancelled));
    stopIf(cancelled);

    List<SampleName> names = new ArrayList<>();
    List<Pitch> heard = new ArrayList<>();
    for (AuditedFile file : files) {
      names.add(file.name);
      heard.add(file.pitch());
    }
    NoteReading reading = NoteReading.of(names, heard);
    int named = 0;
    for (AuditedFile file : files) {
      file.token = reading.token(file.name);
      file.says = file.token == null ? null : reading.midi(file.token);
      file.rest = file.name.rest(file.token);
      named += file.says == null ? 0 : 1;
    }
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

  private static List<AuditedFile> list(Path folder) throws IOException {
    if (!Files.isDirectory(folder)) {
      throw new NotDirectoryException(folder.toString());
    }
    List<AuditedFile> files = new ArrayList<>();
    try (Stream<Path> paths = Files.walk(folder, DEPTH)) {
      for (Path path : paths.filter(Audit::isSample).sorted().toList()) {
        String file = folder.relativize(path).toString().replace('\\', '/');
        files.add(new AuditedFile(path, SampleName.of(file)));
      }
    } catch (java.io.UncheckedIOException e) {
      throw e.getCause();
    }
    return files;
  }

  private static boolean isSample(Path path) {
    String name = path.getFileName().toString().toLowerCase(Locale.ROOT);
    return !name.startsWith(".")
        && ENDINGS.stream().anyMatch(name::endsWith)
        && Files.isRegularFile(path, java.nio.file.LinkOption.NOFOLLOW_LINKS);
  }

  private static void listen(
      AuditedFile file, AnalyseSettings settings, BooleanSupplier cancelled) {
    if (cancelled.getAsBoolean()) {
      return;
    }
    try {
      Clip clip = read(file.path);
      file.sampleRate = clip.sampleRate();
      file.channels = clip.channels();
      file.seconds = (double) clip.frames() / clip.sampleRate();
      if (clip.frames() == 0) {
        file.problem = "holds no audio; record or export it again";
        return;
      }
      file.facts = Analyse.apply(clip, settings);
    } catch (BadAudioException e) {
      file.problem = e.what() + "; " + e.remedy();
    } catch (IOException e) {
      file.problem = "cannot be read: check its permissions and the disk";
    }
  }

  /** The part of a sample that is analysed. */
  static Clip read(Path path) throws IOException {
    try (AudioFile audio = AudioFile.open(path)) {
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
