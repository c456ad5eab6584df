package takewright.library;

import java.util.Set;
import takewright.diagnosis.Flag;
import takewright.diagnosis.Flags;
import takewright.level.Gain;
import takewright.library.folder.IndexRow;
import takewright.library.folder.Journal;
import takewright.library.folder.SampleMeasures;
import takewright.library.take.CutTake;
import takewright.segment.Region;
import takewright.sheet.Cell;
import takewright.sheet.CellStatus;
import takewright.sheet.Layer;
import takewright.sheet.Sheet;

/** Makes the rows of an index. */
final class IndexRows {
  /** What there is to say of a region or cell that has no sample. */
  private static final SampleMeasures NOTHING =
      new SampleMeasures(
          null, null, null, null, null, null, null, null, null, null, null, "", Set.of());

  private final Sheet sheet;

  IndexRows(Sheet sheet) {
    this.sheet = sheet;
  }

  /**
   * A sample.
   *
   * @param gain what its level was moved by; null if levels are left alone
   */
  IndexRow kept(
      CutTake cut, Region region, Cell cell, Layer layer, Journal.Entry entry, Gain gain) {
    return row(cut, region, cell, entry.file(), layer.name(), CellStatus.KEPT, entry.facts(), gain);
  }

  /** A region of which there is no sample. */
  IndexRow leftOut(CutTake cut, int index) {
    Region region = cut.regions().get(index);
    int at = cut.matching().cells()[index];
    Cell asked = at < 0 ? null : cut.cells().get(at);
    Integer midi = region.pitch() == null ? null : (Integer) region.pitch().midi();
    Cell heard =
        new Cell(
            cut.take().index(),
            cut.take().articulation(),
            midi,
            asked == null ? "" : asked.dynamic(),
            asked == null ? 0 : asked.rr());
    Set<Flag> flags = region.flags();
    if (cut.matching().isFalseStart(index, cut.regions())) {
      flags = Flags.with(flags, Flag.FALSE_START);
    }
    Double cents = region.pitch() == null ? null : region.pitch().cents();
    SampleMeasures measures = NOTHING.of(cents, flags);
    return row(cut, region, heard, "", "", cut.matching().statuses().get(index), measures, null);
  }

  /** A cell that nothing fills. */
  IndexRow missing(CutTake cut, Cell cell) {
    return row(cut, null, cell, "", "", CellStatus.MISSING, NOTHING, null);
  }

  private IndexRow row(
      CutTake cut,
      Region region,
      Cell cell,
      String file,
      String layer,
      CellStatus status,
      SampleMeasures m,
      Gain gain) {
    // The curve is that of the main microphone; what is made of it, or stood elsewhere, is another
    // sound.
    boolean curved = gain != null && cut.take().mainFile().equals(cut.take().files().get(layer));
    double rate = cut.segmentation().sampleRate();
    String note = cell.midi() == null ? "" : sheet.naming().noteNames().spell(cell.midi());
    return new IndexRow(
        file,
        cell.articulation(),
        region == null ? cut.take().kind() : region.kind(),
        layer,
        note,
        cell.midi(),
        m.centsBefore(),
        m.centsAfter(),
        cell.dynamic(),
        cell.rr() == 0 ? null : (Integer) cell.rr(),
        cut.take().name(),
        region == null ? null : (Double) (region.start() / rate),
        region == null ? null : (Double) (region.onset() / rate),
        region == null ? null : (Double) (region.end() / rate),
        m.levelLufs(),
        m.peakDbtp(),
        m.floorBeforeDbfs(),
        m.floorAfterDbfs(),
        m.gainDb(),
        m.loopStart(),
        m.loopEnd(),
        m.releaseMs(),
        status,
        m.flags(),
        m.loopReason(),
        curved ? (Double) gain.curveLufs() : null);
  }
}
