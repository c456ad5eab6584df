package takewright.cli;

import java.io.IOException;
import java.io.InputStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.util.concurrent.Callable;
import picocli.CommandLine.ArgGroup;
import picocli.CommandLine.Command;
import picocli.CommandLine.Mixin;
import picocli.CommandLine.Option;
import picocli.CommandLine.Parameters;
import picocli.CommandLine.ParentCommand;
import takewright.cli.connect.Connection;
import takewright.cli.option.LocalFiles;
import takewright.cli.show.Sets;
import takewright.cli.show.Texts;
import takewright.v1.CheckSheetRequest;
import takewright.v1.CheckSheetResponse;
import takewright.v1.LibraryServiceGrpc;
import takewright.v1.Severity;
import takewright.v1.SheetProblem;

@Command(
    name = "check",
    mixinStandardHelpOptions = true,
    description =
        "Reads a sheet and the headers of its takes, and reports what is wrong."
            + " Writes nothing.")
final class CheckCommand implements Callable<Integer> {
  @ParentCommand private Main main;
  @Mixin private Connection connection;

  @ArgGroup(multiplicity = "1")
  private SheetOrSchema what;

  /** A sheet, or what sheets look like. */
  static final class SheetOrSchema {
    @Parameters(paramLabel = "SHEET", description = "The sheet of a library (YAML).")
    @Sets("sheet_file")
    private Path sheet;

    @Option(
        names = "--schema",
        description = "Prints the JSON Schema of sheets, by which editors complete and check them.")
    private boolean schema;
  }

  @Option(names = "--strict", description = "Exit with status 1 if there are warnings.")
  private boolean strict;

  @Override
  public Integer call() throws IOException {
    if (what.schema) {
      printSchema();
      return Main.DONE;
    }
    Path sheet = what.sheet;
    CheckSheetResponse answer;
    try (Connection.OpenConnection session = connection.open()) {
      answer =
          LibraryServiceGrpc.newBlockingStub(session.channel())
              .checkSheet(
                  CheckSheetRequest.newBuilder().setSheetFile(LocalFiles.absolute(sheet)).build());
    }
    for (SheetProblem problem : answer.getProblemsList()) {
      boolean error = problem.getSeverity() == Severity.SEVERITY_ERROR;
      String line = problem.getLine() > 0 ? ":" + problem.getLine() : "";
      main.out.println(
          sheet + line + ": " + (error ? "error: " : "warning: ") + problem.getMessage());
    }
    int errors = answer.getErrors();
    int problems = errors + answer.getWarnings();
    if (problems > answer.getProblemsCount()) {
      main.out.println(
          sheet + ": " + (problems - answer.getProblemsCount()) + " more errors and warnings");
    }
    main.out.println(
        sheet
            + ": "
            + Texts.count(answer.getCells(), "cell", "cells")
            + " in "
            + Texts.count(answer.getTakes(), "take", "takes")
            + ", "
            + Texts.duration(answer.getDurationS()));
    if (errors > 0) {
      main.complain(
          sheet + ": " + Texts.count(errors, "error", "errors") + ": correct them, then build");
      return Main.FAILED;
    }
    return strict && problems > 0 ? Main.NEEDS_A_LOOK : Main.DONE;
  }

  private void printSchema() throws IOException {
    try (InputStream in = CheckCommand.class.getResourceAsStream("/takewright/sheet/schema.json")) {
      main.out.print(new String(in.readAllBytes(), StandardCharsets.UTF_8));
    }
  }
}
