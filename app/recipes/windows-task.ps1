# Plumbfall on Windows, started with the computer and started again when it ends, by the Task Scheduler that Windows ships.
#
# Not tried: written from the documentation of the commands. Please say what you had to change.
#
# A Python program is no service by itself: sc.exe would start it, hear nothing from it and end it after 30 seconds.
#
# Put in place, in PowerShell as administrator, with Python 3.11 or newer installed for all users and Plumbfall's source
# in the current folder:
#   plumbfall recipe windows > install-plumbfall.ps1        (or copy this text into a file of that name)
#   powershell -ExecutionPolicy Bypass -File .\install-plumbfall.ps1
# Take it away again:
#   Unregister-ScheduledTask -TaskName Plumbfall
#   Remove-NetFirewallRule -DisplayName Plumbfall
# The code for the first head of department is in the file server.log in the data folder, which only administrators and
# the task may read.

$ErrorActionPreference = "Stop"
$Program = "C:\Program Files\Plumbfall"
$Data = "C:\ProgramData\Plumbfall"
$Port = <<port>>

py -3 -m venv $Program
& "$Program\Scripts\pip.exe" install --require-hashes -r .pins\run.txt
& "$Program\Scripts\pip.exe" install --no-deps .

# The records belong to the account of the task, which may do nothing else on this computer.
# S-1-5-19 is LOCAL SERVICE and S-1-5-32-544 the administrators, whatever the language of Windows calls them.
New-Item -ItemType Directory -Force $Data | Out-Null
icacls $Data /inheritance:r /grant "*S-1-5-19:(OI)(CI)F" "*S-1-5-32-544:(OI)(CI)F"

$Settings = @"
@echo off
set PLUMBFALL_DATA=$Data
set PLUMBFALL_PORT=$Port
set PYTHONUTF8=1
"$Program\Scripts\plumbfall.exe" serve >> "$Data\server.log" 2>&1
"@
Set-Content -Path "$Program\serve.cmd" -Value $Settings -Encoding ascii

$Action = New-ScheduledTaskAction -Execute "cmd.exe" -Argument "/c `"`"$Program\serve.cmd`"`"" -WorkingDirectory $Data
$Trigger = New-ScheduledTaskTrigger -AtStartup
$Account = New-ScheduledTaskPrincipal -UserId "S-1-5-19" -LogonType ServiceAccount
$Options = New-ScheduledTaskSettingsSet -RestartCount 999 -RestartInterval (New-TimeSpan -Minutes 1) `
  -ExecutionTimeLimit ([TimeSpan]::Zero) -AllowStartIfOnBatteries -DontStopIfGoingOnBatteries
Register-ScheduledTask -TaskName Plumbfall -Action $Action -Trigger $Trigger -Principal $Account -Settings $Options

# Phones reach the computer on networks that Windows knows as private or as the school's domain, not on public ones.
New-NetFirewallRule -DisplayName Plumbfall -Direction Inbound -Protocol TCP -LocalPort $Port -Action Allow `
  -Profile Private, Domain

Start-ScheduledTask -TaskName Plumbfall
