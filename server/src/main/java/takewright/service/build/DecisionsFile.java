package takewright.service.build;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import takewright.audio.original.AtomicFile;
import takewright.audio.original.OriginalFileException;
import takewright.audio.original.Originals;
import takewright.library.BuildOrder;
import takewright.service.access.GrantedFolders;
import takewright.sheet.read.DecisionsReader;
import takewright.sheet.read.SheetReader;
import takewright.v1.StartBuildRequest;

/** Where the decisions of a build are read, and where its page saves them. */
final class DecisionsFile {
  /** In the output folder, where a request names none. */
  private static final String NAME = "decisions.yaml";

  private final Path sheet;
  private final Path folder;
  private final Path given;
  private final Path markers;
  private final boolean asWritten;
  private final GrantedFolders folders;

  private DecisionsFile(
      Path sheet,
      Path folder,
      Path given,
      Path markers,
      boolean asWritten,
      GrantedFolders folders) {
    this.sheet = sheet;
    this.folder = folder;
    this.given = given;
    this.markers = markers;
    this.asWritten = asWritten;
    this.folders = folders;
  }

  /** The files of a request, which must be granted. */
  static DecisionsFile of(GrantedFolders folders, StartBuildRequest request) throws IOException {
    return new DecisionsFile(
        folders.fileToRead("sheet_file", request.getSheetFile()),
        folders.folderToWrite("output_folder", request.getOutputFolder()),
        request.getDecisionsFile().isEmpty()
            ? null
            : folders.fileToRead("decisions_file", request.getDecisionsFile()),
        request.getMarkersFolder().isEmpty()
            ? null
            : folders.folderToWrite("markers_folder", request.getMarkersFolder()),
        request.getAsWritten(),
        folders);
  }

  /** What is built by it. */
  BuildOrder order() {
    Path own = folder.resolve(NAME);
    Path decisions = given == null && Files.exists(own) ? own : given;
    return new BuildOrder(sheet, folder, decisions, markers, asWritten, "", folders::ofSheet);
  }

  /** The same once decisions have been saved. */
  BuildOrder orderOfSaved() throws IOException {
    return new BuildOrder(sheet, folder, toSave(), markers, asWritten, "", folders::ofSheet);
  }

  /**
   * Where the page saves: the file that is named, unless a person wrote it or changed it; then
   * beside the library.
   */
  Path toSave() throws IOException {
    if (given != null) {
      try {
        Originals.requireReplaceable(given);
        return given;
      } catch (OriginalFileException e) {
        // It is left alone; what it holds is on the page, and so is saved again.
      }
    }
    return folder.resolve(NAME);
  }

  /**
   * Saves decisions.
   *
   * @param text the file as the page has it
   * @throws takewright.sheet.SheetException if it is not a file of decisions; nothing is saved
   * @throws OriginalFileException if a file is there that Takewright did not write
   */
  void save(byte[] text) throws IOException {
    Path trial = Files.createTempDirectory("takewright-decisions");
    Path draft = trial.resolve(NAME);
    try {
      Files.write(draft, text);
      DecisionsReader.read(SheetReader.read(sheet), draft);
    } finally {
      Files.deleteIfExists(draft);
      Files.deleteIfExists(trial);
    }
    AtomicFile.writeTable(toSave(), text);
  }
}
