package takewright.library;

import java.util.List;
import java.util.Set;
import takewright.diagnosis.Flag;
import takewright.diagnosis.Flags;
import takewright.level.NoteGain;
import takewright.library.folder.BeforeAfter;
import takewright.library.folder.IndexCell;
import takewright.library.folder.IndexRow;
import takewright.library.folder.Journal;
import takewright.library.folder.LoopAndRelease;
import takewright.library.folder.Measures;
import takewright.library.folder.Stretch;
import takewright.library.take.CutTake;
import takewright.library.take.KeptRegion;
import takewright.pitch.Kind;
import takewright.segment.Region;
import takewright.sheet.Layer;
import takewright.sheet.Sheet;
import takewright.sheet.cell.Cell;
import takewright.sheet.cell.CellStatus;

/** Makes the rows of an index. */
final class IndexRows {
  private final Sheet sheet;

  IndexRows(Sheet sheet) {
    this.sheet = sheet;
  }

  /**
   * A sample.
   *
   * @param id of its region
   * @param gain what its level was moved by; null if levels are left alone
   * @param besideOthers flags that come from comparing it with the other notes of its take
   */
  IndexRow kept(
      String id,
      CutTake cut,
      KeptRegion kept,
      Layer layer,
      Journal.Entry entry,
      NoteGain gain,
      Set<Flag> besideOthers) {
    Region region = kept.region();
    Measures measures = entry.sample().measures();
    // The curve belongs to the main microphone; other microphones and made layers sound different.
    Set<Flag> flags =
        Flags.without(
            Flags.union(entry.sample().flags(), besideOthers), kept.correction().accepted());
    boolean isMain = cut.take().main().equals(cut.take().files().get(layer.name()));
    return new IndexRow(
        id,
        entry.file(),
        cell(kept.cell(), region.kind(), layer.name()),
        stretch(cut, region),
        gain != null && isMain ? measures.withLevelCurveLufs(gain.curveLufs()) : measures,
        entry.sample().loop(),
        CellStatus.KEPT,
        flags,
        cut.places(region, flags));
  }

  /** A region without a sample. */
  IndexRow leftOut(String id, CutTake cut, int index) {
    Region region = cut.regions().get(index);
    Set<Flag> flags = region.flags();
    if (cut.matching().isFalseStart(index, cut.regions())) {
      flags = Flags.with(flags, Flag.FALSE_START);
    }
    Double cents = region.pitch() == null ? null : (Double) region.pitch().cents();
    return new IndexRow(
        id,
        "",
        cell(heard(cut, index), region.kind(), ""),
        stretch(cut, region),
        Measures.NONE.withCents(new BeforeAfter(cents, null)),
        LoopAndRelease.NONE,
        cut.matching().statuses().get(index),
        flags,
        cut.places(index, flags));
  }

  /** The cell that a region was compared with, at the note that was heard. */
  private static Cell heard(CutTake cut, int index) {
    Region region = cut.regions().get(index);
    int at = cut.matching().cells()[index];
    Cell asked = at < 0 ? null : cut.cells().get(at);
    return new Cell(
        cut.take().index(),
        cut.take().articulation(),
        region.pitch() == null ? null : (Integer) region.pitch().midi(),
        asked == null ? "" : asked.dynamic(),
        asked == null ? 0 : asked.rr());
  }

  /** A missing cell. */
  IndexRow missing(CutTake cut, Cell cell) {
    return new IndexRow(
        id(cell),
        "",
        cell(cell, cut.take().kind(), ""),
        Stretch.nowhere(cut.take().name()),
        Measures.NONE,
        LoopAndRelease.NONE,
        CellStatus.MISSING,
        Set.of(),
        List.of());
  }

  /** Two cells of a library differ in it. */
  private static String id(Cell cell) {
    String note = cell.midi() == null ? "" : "-" + cell.midi();
    return cell.articulation() + note + "-" + cell.dynamic() + "-rr" + cell.rr();
  }

  private IndexCell cell(Cell cell, Kind kind, String layer) {
    return new IndexCell(
        cell.articulation(),
        kind,
        layer,
        cell.midi() == null ? "" : sheet.naming().noteNames().spell(cell.midi()),
        cell.midi(),
        cell.dynamic(),
        cell.rr() == 0 ? null : (Integer) cell.rr());
  }

  private static Stretch stretch(CutTake cut, Region region) {
    double rate = cut.segmentation().sampleRate();
    return new Stretch(
        cut.take().name(), region.start() / rate, region.onset() / rate, region.end() / rate);
  }
}
