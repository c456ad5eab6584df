package takewright.library;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.HashSet;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Set;
import takewright.audio.AudioFile;
import takewright.audio.marker.MarkedCopy;
import takewright.audio.marker.Marker;
import takewright.audio.original.CheckedFile;
import takewright.audio.original.OriginalFileException;
import takewright.library.take.CutTake;
import takewright.name.NoteNames;
import takewright.sheet.Sheet;
import takewright.sheet.SheetProblem;
import takewright.sheet.Take;

/**
 * Copies of all takes whose regions are markers, named after the cells that they fill. A copy that
 * a person has edited, or uses as a take, stays as it is.
 */
final class MarkedTakes {
  private MarkedTakes() {}

  /**
   * Writes them, one for each file of a main microphone.
   *
   * @param folder where to; made if missing
   * @param warnings receives which copies were left as they are
   * @param each is called before each of them, and may end the work by an exception
   */
  static void write(
      Sheet sheet, List<CutTake> cuts, Path folder, List<SheetProblem> warnings, Runnable each)
      throws IOException {
    CheckedFile.createFolders(folder);
    Map<Path, List<Marker>> markers = new LinkedHashMap<>();
    Map<Path, Take> takes = new LinkedHashMap<>();
    for (CutTake cut : cuts) {
      cut.take().main().files().forEach(file -> takes.putIfAbsent(file, cut.take()));
      place(cut, sheet.naming().noteNames(), markers);
    }
    Set<String> names = new HashSet<>();
    for (Map.Entry<Path, List<Marker>> entry : markers.entrySet()) {
      each.run();
      Path file = entry.getKey();
      Path copy = folder.resolve(name(file, names));
      entry.getValue().sort(Comparator.comparingLong(Marker::frame));
      if (isTake(copy, markers.keySet())) {
        warnings.add(left(takes.get(file), copy, "is a take of the sheet"));
        continue;
      }
      try {
        MarkedCopy.write(file, copy, entry.getValue());
      } catch (OriginalFileException e) {
        warnings.add(left(takes.get(file), copy, "was edited, or is not Takewright's own"));
      }
    }
  }

  /** Adds the markers of a take to those of its files, which lie end to end. */
  private static void place(CutTake cut, NoteNames names, Map<Path, List<Marker>> into)
      throws IOException {
    List<Marker> all = RegionMarkers.of(cut, names);
    long offset = 0;
    for (Path file : cut.take().main().files()) {
      long frames;
      try (AudioFile audio = AudioFile.openChecked(file)) {
        frames = audio.frames();
      }
      List<Marker> here = into.computeIfAbsent(file, f -> new ArrayList<>());
      for (Marker marker : all) {
        if (marker.frame() >= offset && marker.frame() < offset + frames) {
          long start = marker.frame() - offset;
          // A region that goes on in the next file is marked up to the end of this one.
          long length = Math.min(marker.length(), frames - start);
          here.add(new Marker(start, length, marker.label(), marker.note()));
        }
      }
      offset += frames;
    }
  }

  /** The name of a copy: the take's, without its folders, and unlike others in any case. */
  private static String name(Path file, Set<String> taken) {
    String name = file.getFileName().toString();
    int dot = name.lastIndexOf('.');
    String stem = dot > 0 ? name.substring(0, dot) : name;
    String unique = stem;
    for (int n = 2; !taken.add(unique.toLowerCase(Locale.ROOT)); n++) {
      unique = stem + "-" + n;
    }
    return unique + ".wav";
  }

  private static boolean isTake(Path copy, Set<Path> takes) throws IOException {
    if (Files.exists(copy)) {
      for (Path take : takes) {
        if (Files.isSameFile(copy, take)) {
          return true;
        }
      }
    }
    return false;
  }

  private static SheetProblem left(Take take, Path copy, String why) {
    return SheetProblem.warning(
        take.lines().take(),
        "file",
        "has a copy with markers, " + copy + ", which " + why + " and stays as it is",
        "move it away to have it written again");
  }
}
