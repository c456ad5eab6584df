package takewright.cli;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Iterator;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.TreeMap;
import java.util.concurrent.Callable;
import picocli.CommandLine.Command;
import picocli.CommandLine.Mixin;
import picocli.CommandLine.Model.CommandSpec;
import picocli.CommandLine.Option;
import picocli.CommandLine.ParameterException;
import picocli.CommandLine.Parameters;
import picocli.CommandLine.ParentCommand;
import picocli.CommandLine.Spec;
import takewright.cli.connect.Connection;
import takewright.cli.option.LocalFiles;
import takewright.cli.show.Sets;
import takewright.cli.show.Texts;
import takewright.cli.table.TableColumn;
import takewright.cli.table.TableWriter;
import takewright.v1.AuditFinding;
import takewright.v1.AuditRequest;
import takewright.v1.AuditResponse;
import takewright.v1.AuditSummary;
import takewright.v1.LibraryServiceGrpc;
import takewright.v1.LibraryServiceGrpc.LibraryServiceBlockingStub;
import takewright.v1.RenameSamplesRequest;

@Command(
    name = "audit",
    mixinStandardHelpOptions = true,
    description = {
      "Compares the file names in a folder of samples with what is heard. Prints"
          + " CSV, one row per finding.",
      "Changes nothing in the folder without --apply or --undo."
    })
final class AuditCommand implements Callable<Integer> {
  private static final List<TableColumn<AuditFinding>> COLUMNS =
      List.of(
          TableColumn.of("file", AuditFinding::getFile),
          TableColumn.of("finding", AuditCommand::word),
          TableColumn.of("says", AuditFinding::getSays),
          TableColumn.of("sounds", AuditFinding::getSounds),
          TableColumn.of("detail", AuditFinding::getDetail));

  @ParentCommand private Main main;
  @Mixin private Connection connection;
  @Spec private CommandSpec spec;

  @Parameters(paramLabel = "DIR", description = "The folder of samples.")
  @Sets("folder")
  private Path folder;

  @Option(
      names = "--tuning-hz",
      paramLabel = "HZ",
      description = "Frequency of A4 in hertz, 392 to 466. Default: 440.")
  private Double tuningHz;

  @Option(
      names = "--fix-names",
      description = "Writes a plan of new names for wrongly named samples, and shows it.")
  private boolean fixNames;

  @Option(
      names = "--plan",
      paramLabel = "FILE",
      description = "File for the plan, outside DIR. Default: DIR-renames.csv beside DIR.")
  @Sets("rename_plan_file")
  private Path plan;

  @Option(
      names = "--apply",
      description =
          "With --fix-names: carries the plan out, and writes DIR-renames-undo.csv for"
              + " --undo. Keep a copy of the folder first.")
  private boolean apply;

  @Option(
      names = "--undo",
      paramLabel = "FILE",
      description = "Restores the old names from the file that --apply wrote; makes no audit.")
  @Sets("plan_file")
  private Path undo;

  @Option(names = "--strict", description = "Exit with status 1 if there are findings.")
  private boolean strict;

  @Option(names = "--json", description = "Prints JSON instead of CSV.")
  private boolean json;

  @Override
  public Integer call() throws IOException {
    if ((apply || plan != null) && !fixNames) {
      throw new ParameterException(
          spec.commandLine(), (apply ? "--apply" : "--plan") + " needs --fix-names");
    }
    if (undo != null && fixNames) {
      throw new ParameterException(
          spec.commandLine(), "--undo cannot be combined with --fix-names; leave one out");
    }
    try (Connection.OpenConnection session = connection.open()) {
      LibraryServiceBlockingStub service = LibraryServiceGrpc.newBlockingStub(session.channel());
      if (undo != null) {
        Path redo = beside(undo.toAbsolutePath(), "-redo.csv");
        if (Files.exists(redo)) {
          // A swap that is taken back twice would be made again.
          throw new IllegalArgumentException(
              undo + " was carried out already; move " + redo + " away to do it once more");
        }
        rename(service, undo, redo);
        return Main.DONE;
      }
      AuditSummary summary = audit(service);
      if (apply && summary.getRenames() > 0) {
        rename(service, planFile(), newUndoFile());
      }
      return strict && summary.getFindings() > 0 ? Main.NEEDS_A_LOOK : Main.DONE;
    }
  }

  private AuditSummary audit(LibraryServiceBlockingStub service) throws IOException {
    AuditRequest.Builder request = AuditRequest.newBuilder().setFolder(LocalFiles.absolute(folder));
    if (tuningHz != null) {
      request.setTuningHz(tuningHz);
    }
    if (fixNames) {
      request.setRenamePlanFile(planFile().toString());
    }
    Iterator<AuditResponse> answers = service.audit(request.build());
    AuditSummary summary = AuditSummary.getDefaultInstance();
    Map<String, Integer> counts = new TreeMap<>();
    List<String> planned = new ArrayList<>();
    // Waits for the first response before it writes the table's header, so that a refusal leaves
    // standard output empty.
    boolean any = answers.hasNext();
    try (TableWriter<AuditFinding> rows = new TableWriter<>(main.out, json, COLUMNS)) {
      while (any) {
        AuditResponse answer = answers.next();
        if (answer.hasFinding()) {
          AuditFinding finding = answer.getFinding();
          counts.merge(word(finding), 1, Integer::sum);
          rows.row(finding);
        } else if (answer.hasSummary()) {
          summary = answer.getSummary();
        } else {
          plan(answer).ifPresent(planned::add);
        }
        any = answers.hasNext();
      }
    }
    show(summary, counts, planned);
    return summary;
  }

  private static String word(AuditFinding finding) {
    return Texts.word(finding.getKind(), "AUDIT_FINDING_KIND_");
  }

  /** A line of the plan, for a person. */
  private static Optional<String> plan(AuditResponse answer) {
    return switch (answer.getResponseCase()) {
      case RENAME ->
          Optional.of(
              "rename " + answer.getRename().getFrom() + " -> " + answer.getRename().getTo());
      case LEFT_OUT -> Optional.of("left: " + answer.getLeftOut().getReason());
      default -> Optional.empty();
    };
  }

  /** In plain words, on standard error: standard output is for programs. */
  private void show(AuditSummary summary, Map<String, Integer> counts, List<String> planned) {
    StringBuilder line = new StringBuilder(Texts.count(summary.getFiles(), "sample", "samples"));
    if (!summary.getMiddleC().isEmpty()) {
      line.append(", middle C is ").append(summary.getMiddleC());
    }
    if (summary.getNamed() > 0) {
      line.append(" (")
          .append(summary.getAgreeing())
          .append(" of ")
          .append(Texts.count(summary.getNamed(), "named note sounds so", "named notes sound so"))
          .append(")");
    }
    line.append(counts.isEmpty() ? ": no findings" : ": ");
    String separator = "";
    for (Map.Entry<String, Integer> count : counts.entrySet()) {
      line.append(separator).append(count.getValue()).append(" ").append(count.getKey());
      separator = ", ";
    }
    main.err.println(line);
    if (!fixNames) {
      return;
    }
    planned.forEach(main.err::println);
    if (summary.getRenames() == 0) {
      main.err.println("no file needs or can get another name");
    } else if (!apply) {
      main.err.println(
          "nothing was renamed: read "
              + planFile()
              + ", keep a copy of the folder, then add --apply");
    }
  }

  private void rename(LibraryServiceBlockingStub service, Path file, Path back) {
    int renamed =
        service
            .renameSamples(
                RenameSamplesRequest.newBuilder()
                    .setFolder(LocalFiles.absolute(folder))
                    .setPlanFile(LocalFiles.absolute(file))
                    .setUndoFile(LocalFiles.absolute(back))
                    .build())
            .getRenamed();
    main.err.println(
        Texts.count(renamed, "file", "files")
            + " renamed; to undo: takewright audit "
            + folder
            + " --undo "
            + back);
  }

  private Path planFile() {
    Path chosen = plan == null ? beside(folder.toAbsolutePath().normalize(), "-renames.csv") : plan;
    return chosen.toAbsolutePath().normalize();
  }

  /** The undo file of an earlier plan stays. */
  private Path newUndoFile() {
    Path file = beside(planFile(), "-undo.csv");
    for (int count = 2; Files.exists(file); count++) {
      file = beside(planFile(), "-undo-" + count + ".csv");
    }
    return file;
  }

  /** A file beside another: its name without ".csv", with another ending. */
  private static Path beside(Path file, String end) {
    return file.resolveSibling(file.getFileName().toString().replaceFirst("\\.csv$", "") + end);
  }
}
