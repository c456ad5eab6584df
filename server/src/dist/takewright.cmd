@echo off
rem Runs a command of the program from the folder that it was unpacked in.
setlocal
set "TAKEWRIGHT_HOME=%~dp0.."
if /i "%~1"=="test" goto sources
if /i "%~1"=="bench" goto sources
if /i "%~1"=="dist" goto sources
rem A service gives memory back between its builds.
set "TAKEWRIGHT_GC=-XX:+UseParallelGC"
if /i "%~1"=="serve" set "TAKEWRIGHT_GC=-XX:+UseG1GC -XX:MinHeapFreeRatio=10 -XX:MaxHeapFreeRatio=30"
set "TAKEWRIGHT_JAVA=java"
if defined JAVA_HOME set "TAKEWRIGHT_JAVA=%JAVA_HOME%\bin\java.exe"
if exist "%TAKEWRIGHT_HOME%\runtime\bin\java.exe" set "TAKEWRIGHT_JAVA=%TAKEWRIGHT_HOME%\runtime\bin\java.exe"
"%TAKEWRIGHT_JAVA%" -version >nul 2>&1
if errorlevel 1 (
  echo takewright: Java 17 or later is needed; install it, or set JAVA_HOME to it>&2
  exit /b 2
)
"%TAKEWRIGHT_JAVA%" -Xlog:disable %TAKEWRIGHT_GC% -Dfile.encoding=UTF-8 -jar "%TAKEWRIGHT_HOME%\lib\takewright.jar" %*
exit /b %ERRORLEVEL%
:sources
echo takewright: %~1 needs the program's sources; this is a built program>&2
exit /b 2
