package takewright.library;

import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.stream.Collectors;
import takewright.audio.marker.Marker;
import takewright.diagnosis.Flag;
import takewright.library.take.CutTake;
import takewright.library.take.MarkerLabel;
import takewright.name.NoteNames;
import takewright.segment.Region;
import takewright.sheet.cell.Cell;
import takewright.sheet.cell.CellStatus;

/**
 * The markers of a take's regions, for an editor: each with its length, named after what it is, or
 * {@code reject}, and with what was heard in its comment.
 */
public final class RegionMarkers {
  private RegionMarkers() {}

  /** Markers of regions that are not matched with a sheet, named after their notes. */
  public static List<Marker> of(List<Region> regions, NoteNames names) {
    List<Marker> markers = new ArrayList<>();
    for (Region region : regions) {
      String note =
          region.pitch() == null ? region.kind().word() : names.spell(region.pitch().midi());
      markers.add(marker(region, region.rejected() ? MarkerLabel.REJECT : note, "", names));
    }
    return markers;
  }

  /** Markers of a matched take: those that are kept are named after their cells. */
  public static List<Marker> of(CutTake cut, NoteNames names) {
    List<Marker> markers = new ArrayList<>();
    for (int i = 0; i < cut.regions().size(); i++) {
      int cell = cut.matching().cells()[i];
      String name = cell < 0 ? "" : name(cut.cells().get(cell), names);
      CellStatus status = cut.matching().statuses().get(i);
      boolean isKept = status == CellStatus.KEPT;
      String why = isKept ? "" : "; " + status.word() + (name.isEmpty() ? "" : " of " + name);
      markers.add(marker(cut.regions().get(i), isKept ? name : MarkerLabel.REJECT, why, names));
    }
    return markers;
  }

  private static String name(Cell cell, NoteNames names) {
    String note = cell.midi() == null ? "" : names.spell(cell.midi()) + " ";
    return note + cell.dynamic() + " rr" + cell.rr();
  }

  private static Marker marker(Region region, String label, String why, NoteNames names) {
    StringBuilder note = new StringBuilder(MarkerLabel.asHeard(label)).append(why);
    if (region.pitch() != null) {
      note.append(
          String.format(
              Locale.ROOT,
              "; %s %+.1f cents",
              names.spell(region.pitch().midi()),
              region.pitch().cents()));
    }
    if (!region.flags().isEmpty()) {
      note.append("; ")
          .append(region.flags().stream().map(Flag::word).collect(Collectors.joining(" ")));
    }
    return new Marker(region.start(), region.end() - region.start(), label, note.toString());
  }
}
